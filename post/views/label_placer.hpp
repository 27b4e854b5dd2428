#pragma once
// Labels beside what they name, so that none covers another: one by one, each at the best place
// that is left. Lengths in px of the page, y down.

#include "post/views/page.hpp"

#include <optional>
#include <vector>

namespace tiltfin {

struct PageBox {
  double left = 0.0;
  double top = 0.0;
  double right = 0.0;
  double bottom = 0.0;

  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double height() const { return bottom - top; }
  [[nodiscard]] bool overlaps(const PageBox& other) const {
    return left < other.right && other.left < right && top < other.bottom && other.top < bottom;
  }
};

struct PageSegment {
  PagePoint a;
  PagePoint b;
};

/// True when a segment has a point inside the box.
[[nodiscard]] bool crosses(const PageSegment& segment, const PageBox& box);

/// True when two segments cross, ends that touch included.
[[nodiscard]] bool crosses(const PageSegment& a, const PageSegment& b);

struct LabelWish {
  double width = 0.0;
  double height = 0.0;
  std::vector<PagePoint> targets; ///< what it names: the one that serves best is taken
  double nearest = 10.0;          ///< from a target to the label's edge
  double farthest = 200.0;        ///< the same, at most
  bool may_be_on_it = false;      ///< may have its middle on a target: no leader then
};

struct PlacedLabel {
  PageBox box;
  std::optional<PageSegment> leader; ///< from a target to the label's edge
};

class LabelPlacer {
public:
  /// Labels stay within `page` and this far from each other.
  explicit LabelPlacer(const PageBox& page, double apart = 3.0);

  /// No label covers this, and no leader crosses it.
  void keep_clear(const PageBox& box);

  /// Labels rather lie elsewhere: `cost` px of way for a label that lies in it wholly, half of that
  /// for one with a quarter of its area in it.
  void avoid(const PageBox& box, double cost);

  /// The label at its cheapest place: near a target and off what is to be avoided. It covers no
  /// label placed before and nothing to be kept clear, and its leader crosses neither these nor
  /// another leader. Nothing when there is no such place.
  [[nodiscard]] std::optional<PlacedLabel> place(const LabelWish& wish);

private:
  [[nodiscard]] bool is_free(const PlacedLabel& label) const;
  [[nodiscard]] double cost_of(const PlacedLabel& label) const;

  PageBox page_;
  double apart_;
  std::vector<PageBox> taken_;
  std::vector<PageSegment> leaders_;
  struct Avoided {
    PageBox box;
    double cost = 0.0;
  };
  std::vector<Avoided> avoided_;
};

} // namespace tiltfin

#include "post/views/label_placer.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace tiltfin {
namespace {

PageBox box_around(const PagePoint& middle, double width, double height) {
  return {middle.x - 0.5 * width, middle.y - 0.5 * height, middle.x + 0.5 * width,
          middle.y + 0.5 * height};
}

PageBox wider_by(const PageBox& box, double margin) {
  return {box.left - margin, box.top - margin, box.right + margin, box.bottom + margin};
}

/// Twice the area of a triangle, positive when it turns left.
double turn(const PagePoint& a, const PagePoint& b, const PagePoint& c) {
  return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
}

/// The label whose edge is `distance` from the target in a direction, with its leader.
PlacedLabel label_at(const LabelWish& wish, const PagePoint& target, double distance,
                     double angle) {
  const double ex = std::cos(angle);
  const double ey = std::sin(angle);
  // From the middle of the box to its edge along the direction.
  const double to_edge = std::min(0.5 * wish.width / std::max(std::abs(ex), 1e-9),
                                  0.5 * wish.height / std::max(std::abs(ey), 1e-9));
  const PagePoint middle{target.x + (distance + to_edge) * ex,
                         target.y + (distance + to_edge) * ey};
  return {box_around(middle, wish.width, wish.height),
          PageSegment{target, {target.x + distance * ex, target.y + distance * ey}}};
}

double shared_area(const PageBox& a, const PageBox& b) {
  return std::max(0.0, std::min(a.right, b.right) - std::max(a.left, b.left)) *
         std::max(0.0, std::min(a.bottom, b.bottom) - std::max(a.top, b.top));
}

} // namespace

bool crosses(const PageSegment& a, const PageSegment& b) {
  const double a0 = turn(b.a, b.b, a.a);
  const double a1 = turn(b.a, b.b, a.b);
  const double b0 = turn(a.a, a.b, b.a);
  const double b1 = turn(a.a, a.b, b.b);
  if (a0 == 0.0 && a1 == 0.0 && b0 == 0.0 && b1 == 0.0) { // on one line
    return std::min(a.a.x, a.b.x) <= std::max(b.a.x, b.b.x) &&
           std::min(b.a.x, b.b.x) <= std::max(a.a.x, a.b.x) &&
           std::min(a.a.y, a.b.y) <= std::max(b.a.y, b.b.y) &&
           std::min(b.a.y, b.b.y) <= std::max(a.a.y, a.b.y);
  }
  return a0 * a1 <= 0.0 && b0 * b1 <= 0.0;
}

bool crosses(const PageSegment& segment, const PageBox& box) {
  // Clipped direction by direction, the segment from 0 to 1 (Liang and Barsky 1984, ACM Trans.
  // Graphics 3, 1-22, from memory).
  double low = 0.0;
  double high = 1.0;
  const auto clip = [&](double start, double step, double from, double to) {
    if (step == 0.0) {
      return start > from && start < to;
    }
    const double t0 = (from - start) / step;
    const double t1 = (to - start) / step;
    low = std::max(low, std::min(t0, t1));
    high = std::min(high, std::max(t0, t1));
    return low < high;
  };
  return clip(segment.a.x, segment.b.x - segment.a.x, box.left, box.right) &&
         clip(segment.a.y, segment.b.y - segment.a.y, box.top, box.bottom);
}

LabelPlacer::LabelPlacer(const PageBox& page, double apart) : page_(page), apart_(apart) {}

void LabelPlacer::keep_clear(const PageBox& box) {
  taken_.push_back(box);
}

void LabelPlacer::avoid(const PageBox& box, double cost) {
  avoided_.push_back({box, cost});
}

bool LabelPlacer::is_free(const PlacedLabel& label) const {
  const PageBox& box = label.box;
  if (box.left < page_.left || box.right > page_.right || box.top < page_.top ||
      box.bottom > page_.bottom) {
    return false;
  }
  const PageBox with_margin = wider_by(box, apart_);
  const auto hits = [&](const PageBox& other) {
    return with_margin.overlaps(other) || (label.leader && crosses(*label.leader, other));
  };
  const auto tangles = [&](const PageSegment& other) {
    return crosses(other, with_margin) || (label.leader && crosses(*label.leader, other));
  };
  return std::ranges::none_of(taken_, hits) && std::ranges::none_of(leaders_, tangles);
}

double LabelPlacer::cost_of(const PlacedLabel& label) const {
  double cost = 0.0;
  if (label.leader) {
    const auto& [a, b] = *label.leader;
    cost = std::hypot(b.x - a.x, b.y - a.y);
  }
  for (const auto& [box, worth] : avoided_) {
    cost +=
        worth * std::sqrt(shared_area(label.box, box) / (label.box.width() * label.box.height()));
  }
  return cost;
}

std::optional<PlacedLabel> LabelPlacer::place(const LabelWish& wish) {
  constexpr int n_angles = 48;
  constexpr double step = 4.0;
  std::optional<PlacedLabel> best;
  double lowest = 0.0;
  const auto consider = [&](const PlacedLabel& label) {
    const double cost = cost_of(label);
    if ((!best || cost < lowest) && is_free(label)) {
      best = label;
      lowest = cost;
    }
  };
  for (const PagePoint& target : wish.targets) {
    if (wish.may_be_on_it) {
      consider({box_around(target, wish.width, wish.height), std::nullopt});
    }
    double distance = wish.nearest;
    while (distance <= wish.farthest) {
      for (int k = 0; k < n_angles; ++k) {
        consider(label_at(wish, target, distance, 2.0 * std::numbers::pi * k / n_angles));
      }
      distance += step;
    }
  }
  if (best) {
    taken_.push_back(best->box);
    if (best->leader) {
      leaders_.push_back(*best->leader);
    }
  }
  return best;
}

} // namespace tiltfin

#pragma once
// Which air and which faces of the mesh belong to the cooler.

#include "mesh/section.hpp"
#include "post/numbers/upstream.hpp"

#include <optional>
#include <vector>

namespace tiltfin {

/// The cooler's outline and how long its fins are.
struct CoolerOutline {
  Rectangle box;           ///< round fins and base, round the sources when there are none
  double fin_length = 0.0; ///< longer side of the longest fin, of the outline without fins [m]
};

/// Nothing without a cooler.
[[nodiscard]] std::optional<CoolerOutline> cooler_outline(const Section& section);

/// The cells of fins, base and the air between them (of the outline where there are no gaps), and
/// the faces round these.
class OutlinedCells {
public:
  OutlinedCells(const Section& section, const CoolerOutline& cooler, const TensorMesh& mesh);

  /// All cells of a rectangle.
  OutlinedCells(const Rectangle& extent, const TensorMesh& mesh);

  /// False outside the mesh, too.
  [[nodiscard]] bool is_own(int i, int j) const;

  /// True when the air that crosses the face comes out of them.
  [[nodiscard]] bool is_left_through(const CrossedEdge& edge) const {
    return is_own(edge.i - (edge.is_x && edge.flow > 0.0 ? 1 : 0),
                  edge.j - (!edge.is_x && edge.flow > 0.0 ? 1 : 0));
  }

  /// Calls visit(face, flow inwards).
  template <class Visit>
  void for_each_face(const State& state, const Visit& visit) const {
    for (int j = 0; j <= mesh_.y.n(); ++j) {
      for (int i = 0; i <= mesh_.x.n(); ++i) {
        const bool here = is_own(i, j);
        if (j < mesh_.y.n() && is_own(i - 1, j) != here) {
          const CrossedEdge edge = x_edge(mesh_, state, i, j);
          visit(edge, here ? edge.flow : -edge.flow);
        }
        if (i < mesh_.x.n() && is_own(i, j - 1) != here) {
          const CrossedEdge edge = y_edge(mesh_, state, i, j);
          visit(edge, here ? edge.flow : -edge.flow);
        }
      }
    }
  }

private:
  void add(const Rectangle& extent);

  const TensorMesh& mesh_;
  std::vector<char> is_own_;
};

} // namespace tiltfin

#pragma once
// Where air comes from: streamlines followed against the flow, cell by cell.

#include "solver/unknowns.hpp"

#include <functional>
#include <optional>
#include <vector>

namespace tiltfin {

/// A mesh face seen by the air that crosses it.
struct CrossedEdge {
  bool is_x = true; ///< an x-face: its normal is x
  int i = 0;        ///< as in Problem::face_x and face_y
  int j = 0;
  double flow = 0.0; ///< towards +x or +y [m2/s]

  friend bool operator==(const CrossedEdge&, const CrossedEdge&) = default;
};

/// The mesh line of an axis that lies nearest to a place [m].
[[nodiscard]] int nearest_face(const Axis& axis, double position);

/// The x-face (i, j), the y-face (i, j).
[[nodiscard]] CrossedEdge x_edge(const TensorMesh& mesh, const State& state, int i, int j);
[[nodiscard]] CrossedEdge y_edge(const TensorMesh& mesh, const State& state, int i, int j);

/// Of the air where it crosses a face, linear between the two cells; the side's where it comes in
/// from outside [K].
[[nodiscard]] double edge_temperature(const Problem& problem, const State& state,
                                      const CrossedEdge& edge);

/// A place on a streamline.
struct UpstreamPoint {
  CrossedEdge edge;
  double x = 0.0;    ///< [m]
  double y = 0.0;    ///< [m]
  double path = 0.0; ///< from the start, along the streamline [m]
};

/// Follows the streamline that crosses the middle of the flow of `start` against the air until
/// `is_end` says so or it reaches the section's side; psi is bilinear in every cell, so that every
/// face keeps its flow. Nothing where the streamline is closed and never ends.
[[nodiscard]] std::optional<UpstreamPoint>
upstream_of(const TensorMesh& mesh, const State& state, const CrossedEdge& start,
            const std::function<bool(const UpstreamPoint&)>& is_end);

} // namespace tiltfin

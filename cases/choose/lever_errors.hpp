#pragma once
// How well the difference of two rises is known, where one thing of the case differs: most of the
// errors of two like meshes is the same in both and goes out of their difference. What stays is
// seen on the coarse meshes, whose states a solve leaves beside the fine ones.

#include "cases/file/case.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/error_estimate.hpp"
#include "post/numbers/outcome.hpp"

#include <filesystem>
#include <optional>

namespace tiltfin {

/// The base's mean rise on both meshes of a steady solution [K].
struct MeshRises {
  double fine = 0.0;
  double coarse = 0.0;
  MeshPair pair;
};

/// Those that `outcome`, of `the_case` and solved into `directory`, stands on; nothing where they
/// are not on disk any more, where it is a mean over time, or where what is there is another flow.
[[nodiscard]] std::optional<MeshRises>
mesh_rises(const Case& the_case, const std::filesystem::path& directory, const Outcome& outcome);

/// Least error of a difference, as a share of the root of the sum of squares of both errors, for
/// where what is seen on the meshes passes through zero. Of 29 differences (gap, size, finish and
/// grille of a block in still air, of fins in a chimney and of cases/face-on-block.toml, each
/// against twice as many cells each way) the true error was 0.00 to 0.22 of that root.
inline constexpr double least_of_squares = 0.25;

/// a - b [K]. Its error: what the difference changes by between the meshes, extrapolated as for any
/// number, and no less than the share above; the root of the sum of squares itself where one of
/// them is not known on both meshes, or they were not coarsened alike.
[[nodiscard]] Estimate rise_difference(const Estimate& a, const std::optional<MeshRises>& on_a,
                                       const Estimate& b, const std::optional<MeshRises>& on_b);

} // namespace tiltfin

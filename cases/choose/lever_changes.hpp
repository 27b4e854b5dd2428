#pragma once
// Single changes of a case that might help: each is the case with one thing altered and all else as
// it was, or why there is no such change. Nothing is solved here.

#include "cases/file/case.hpp"
#include "post/fits/groups.hpp"
#include "post/reports/lever_report.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// What surfaces of the cooler, and of the case's walls, are changed to.
inline constexpr const char* cooler_finish = "black-anodised";
inline constexpr const char* wall_finish = "painted";

inline constexpr double size_step = 0.1;     ///< of fins' height or plates' length
inline constexpr double grille_step = 0.25;  ///< of what the holes leave closed
inline constexpr double feet_step_mm = 10.0; ///< further from the desk
inline constexpr int many_fins = 10;         ///< from here on, two fewer and two more

/// The case with one thing altered.
struct LeverChange {
  LeverKind lever = LeverKind::gap;
  std::string name;  ///< of its directory
  std::string words; ///< "6 plates 7.25 mm apart in place of 7 at 6 mm"
  Case the_case;
  std::vector<Placing> placings; ///< where it alters something
};

/// A lever that is not there to be moved in these panel states and orientations.
struct AbsentLever {
  LeverKind lever = LeverKind::gap;
  std::string reason;
  std::vector<Placing> placings;
};

struct LeverChanges {
  std::vector<LeverChange> changes;
  std::vector<AbsentLever> absent;
};

/// Changes of finish, walls, gap, size, grilles and feet that these panel states and orientations
/// of the case can have. A change that does not fit is absent for that reason.
[[nodiscard]] LeverChanges lever_changes(const Case& the_case,
                                         const std::vector<Placing>& placings);

/// The panel state's name as the case file declares it.
[[nodiscard]] std::string declared_name(const PanelState& panel);

/// The emissivity of a finish of the table; 0 for none of them.
[[nodiscard]] double emissivity_of_finish(const std::string& finish);

} // namespace tiltfin

#pragma once
// What a number must keep to before it is a result: the bounds of the model, and of the things that
// it stands for. All of them are here; tables, files, the page and exit codes ask here.

#include "post/fits/estimate.hpp"

#include <string>
#include <vector>

namespace tiltfin {

enum class Standing {
  sound,
  doubtful, ///< a number, but not to be relied on
  outside,  ///< of the model's range: no number of a machine
};

/// "", "doubtful", "outside the model".
[[nodiscard]] const char* name(Standing standing);

/// "converged", "converged, doubtful", "time average, outside the model".
[[nodiscard]] std::string with_standing(const std::string& status, Standing standing);

/// Beta times the largest rise up to which anything published was compared: a closed cavity with
/// walls at 240 and 960 K, 360 K to either side of the reference (validation/square_cavity; Le
/// Quere et al., ESAIM: M2AN 39 (2005) 609, from memory).
inline constexpr double farthest_expansion_number = 0.6;

/// Solder of tin, silver and copper melts at 217 degrees Celsius, that with lead at 183, aluminium
/// at 660 (handbooks, from memory): nothing stands on a board that hot.
inline constexpr double hottest_base_c = 217.0;

/// Above it the chip's package and adhesives come apart; silicon itself works to 150 or 200
/// (common practice, from memory).
inline constexpr double hottest_core_c = 300.0;

/// Air colder than all round it, over the largest rise: heat that nothing takes away drives it
/// down where cells are coarse. A quarter of the rise is as wrong as the rise would be (a choice).
inline constexpr double coldest_air_share = 0.25;

/// A limit outside the solved powers by more than the first factor rests on no solved flow, and is
/// doubtful; by more than the second it is no number of a machine. It is common practice to read a
/// fit little beyond its points: a decade is not little, two are the span of all machines here.
inline constexpr double far_extrapolation = 10.0;
inline constexpr double farthest_extrapolation = 100.0;

/// What is wrong, worst first.
struct Judgement {
  Standing standing = Standing::sound;
  std::vector<std::string> reasons; ///< in words

  /// Enters a reason; the standing becomes the worse of both.
  void add(Standing than, std::string reason);
};

/// What a solved condition is judged by. NaN: not known, never a fault.
struct RowFacts {
  Estimate base_mean_c;    ///< error: of the mesh [K]
  double base_max_c = nan; ///< hottest place of the base
  double core_c = nan;     ///< of the chip
  double room_c = nan;
  double coldest_c = nan;      ///< of what surrounds the section: nothing that is heated is colder
  double rise_k = nan;         ///< of the base's hottest place above the room
  double largest_rise_k = nan; ///< of anything
  double undershoot_k = 0.0;   ///< coldest air below the coldest surroundings
  double expansion_number = 0.0; ///< beta times the largest rise [-]
};
[[nodiscard]] Judgement judge_row(const RowFacts& facts);

/// What a power limit is judged by.
struct LimitFacts {
  double power_w = nan;          ///< NaN: there is none, and nothing to judge
  double lowest_solved_w = nan;  ///< of the powers that it comes from (or measured ones)
  double highest_solved_w = nan; ///< NaN: not known
  double base_c = nan;           ///< of the base at the limit
};
[[nodiscard]] Judgement judge_limit(const LimitFacts& facts);

} // namespace tiltfin

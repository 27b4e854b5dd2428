#pragma once
// Where the heat goes: which bodies it leaves and how, where it leaves the machine and the section.

#include "mesh/section.hpp"
#include "post/fits/estimate.hpp"
#include "solver/steady.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// One question about the heat; the rows of each answer it in full.
enum class HeatAccount {
  parts,   ///< off which solid, fin medium or wall of the section
  groups,  ///< the same, added up by what they are for
  machine, ///< through which part of the machine's outline; no rows where none is drawn
  section  ///< through which side of the section
};

/// "parts", "groups", "machine", "section".
[[nodiscard]] const char* name(HeatAccount account);

/// Heat of a part in W, positive when it leaves it (a wall that takes up radiation: negative).
/// Errors are of the discretisation; NaN without a coarse solution.
struct HeatRow {
  HeatAccount account = HeatAccount::parts;
  std::string part;
  /// Of a part: its role ("fin", "base", "source", "board", "wall", "other"; a fin medium is
  /// "fin"), "room" for what stands outside the machine's outline, "side" for a wall of the
  /// section.
  std::string group;
  double released_w = 0.0; ///< in this part
  Estimate convection_w;   ///< to the air; with the air
  Estimate radiation_w;    ///< net, to surfaces elsewhere
  Estimate conduction_w;   ///< straight out: through a side that it touches, into what it touches
  Estimate heat_w;         ///< the three together
  Estimate share_percent;  ///< of all heat released in the section; NaN without any
};

/// Rows of all accounts. In each, those of `heat_w` add up to the heat released (of the machine, in
/// its account) with the last one, "not closed": a steady state leaves less than 1e-6 of it, in a
/// mean over time it is also what swings carry and what was stored. Air that crosses the outline
/// counts from `room_temperature` [K]; the outline near an opening is the opening's, radiation is
/// not told apart by opening.
[[nodiscard]] std::vector<HeatRow> heat_budget(const Section& section, const Solution& solution,
                                               double room_temperature);

} // namespace tiltfin

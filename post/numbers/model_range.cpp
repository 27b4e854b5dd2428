#include "post/numbers/model_range.hpp"

#include "solver/bounds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace tiltfin {
namespace {

std::string show_heat(const char* what, double hot_c, double most_c, const char* why) {
  return fmt::format("{} at {:.4g} °C is above {:g} °C: {}", what, hot_c, most_c, why);
}

constexpr const char* solder_melts = "solder melts there";

void judge_heat(const RowFacts& facts, Judgement& found) {
  if (facts.base_max_c > hottest_base_c) {
    found.add(Standing::outside,
              show_heat("a base", facts.base_max_c, hottest_base_c, solder_melts));
  }
  if (facts.core_c > hottest_core_c) {
    found.add(Standing::outside, show_heat("a core", facts.core_c, hottest_core_c,
                                           "no chip stands that; list lower powers"));
  }
  if (facts.expansion_number > farthest_expansion_number) {
    found.add(Standing::outside,
              fmt::format("an expansion number of {:.2g} is above {:g}, the largest of any "
                          "published flow that the model was compared with",
                          facts.expansion_number, farthest_expansion_number));
  }
}

void judge_cold(const RowFacts& facts, Judgement& found) {
  const double allowed = allowed_undershoot(facts.rise_k > 0.0 ? facts.rise_k : 0.0);
  const double error = std::isfinite(facts.base_mean_c.error) ? facts.base_mean_c.error : 0.0;
  const double below = facts.coldest_c - facts.base_mean_c.value;
  if (std::isfinite(below) && below > std::max(error, allowed)) {
    found.add(Standing::outside,
              fmt::format("a heated base {:.2g} K colder than all that surrounds it", below));
  } else if (facts.room_c - facts.base_mean_c.value > std::max(error, allowed)) {
    found.add(Standing::doubtful, // sides that are colder than the room may do it
              fmt::format("a base {:.2g} K colder than the room: there is no rise above it",
                          facts.room_c - facts.base_mean_c.value));
  }
  if (facts.undershoot_k > allowed) {
    const bool is_far = facts.undershoot_k > coldest_air_share * facts.largest_rise_k;
    found.add(is_far ? Standing::outside : Standing::doubtful,
              fmt::format("air computed {:.2g} K colder than all surroundings in places: "
                          "cells are coarse there",
                          facts.undershoot_k));
  }
}

} // namespace

const char* name(Standing standing) {
  switch (standing) {
  case Standing::sound:
    return "";
  case Standing::doubtful:
    return "doubtful";
  case Standing::outside:
    break;
  }
  return "outside the model";
}

std::string with_standing(const std::string& status, Standing standing) {
  const std::string word = name(standing);
  return word.empty() || status.empty() ? status + word : status + ", " + word;
}

void Judgement::add(Standing than, std::string reason) {
  if (than == Standing::outside) {
    reason = std::string(name(than)) + ": " + reason;
  }
  const auto place = than > standing ? reasons.begin() : reasons.end();
  reasons.insert(place, std::move(reason));
  standing = std::max(standing, than);
}

Judgement judge_row(const RowFacts& facts) {
  Judgement found;
  judge_heat(facts, found);
  judge_cold(facts, found);
  return found;
}

Judgement judge_limit(const LimitFacts& facts) {
  Judgement found;
  if (std::isnan(facts.power_w)) {
    return found;
  }
  const double above = facts.power_w / facts.highest_solved_w;
  const double below = facts.lowest_solved_w / facts.power_w;
  const double factor = std::max(above, below); // NaN: no solved power is known
  if (factor > far_extrapolation) {
    found.add(factor > farthest_extrapolation ? Standing::outside : Standing::doubtful,
              fmt::format("a limit of {:.3g} W lies {} the solved powers by a factor of {:.3g}, "
                          "above {:g}",
                          facts.power_w, above > below ? "above" : "below", factor,
                          far_extrapolation));
  }
  if (facts.base_c > hottest_base_c) {
    found.add(Standing::outside,
              show_heat("a base at the limit", facts.base_c, hottest_base_c, solder_melts));
  }
  return found;
}

} // namespace tiltfin

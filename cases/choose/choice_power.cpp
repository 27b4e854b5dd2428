#include "cases/choose/choice_power.hpp"

#include "cases/input/input_error.hpp"

#include <fmt/format.h>

namespace tiltfin {

double choice_power(const Case& the_case, std::optional<double> asked_w) {
  const double power = asked_w.value_or(the_case.powers.back());
  if (power <= 0.0) {
    throw InputError(fmt::format("{}: found no power above 0 in conditions.powers_w, allowed one, "
                                 "or --power-w",
                                 the_case.file));
  }
  return power;
}

} // namespace tiltfin

#pragma once
// What wrong input is thrown as.

#include <stdexcept>

namespace tiltfin {

/// Wrong input: the message names file, line, key, the value found and what is allowed.
struct InputError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

} // namespace tiltfin

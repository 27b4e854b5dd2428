#pragma once
// Every key of a case file: what the reader accepts, what cases are compared by, and what a
// reference of keys can be written from.

#include "cases/input/keys.hpp"

namespace tiltfin {

/// Of the whole file, tables with their own keys.
[[nodiscard]] const KeyTable& case_keys();

} // namespace tiltfin

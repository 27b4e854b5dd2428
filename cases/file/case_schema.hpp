#pragma once
// What editors complete and check case files with.

#include <string>

namespace tiltfin {

/// The JSON schema (draft 2020-12) of a case file, made from the tables of keys that it is read by.
/// Bounds, words, defaults and meanings are theirs; what depends on several keys is `tiltfin
/// check`'s to say.
[[nodiscard]] std::string case_schema();

} // namespace tiltfin

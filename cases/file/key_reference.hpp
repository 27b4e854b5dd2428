#pragma once
// Every key of a case file as a page for readers, made from what the reader itself goes by.

#include <string>
#include <vector>

namespace tiltfin {

/// Markdown: a heading and a table of keys (unit, default, what is allowed, meaning) for every
/// table of the case file; what all coolers share is said once. `only` chooses by the tables'
/// names, "case.panel" or what ends one ("panel"); empty: all. Throws InputError when one is
/// unknown.
[[nodiscard]] std::string key_reference(const std::vector<std::string>& only = {});

} // namespace tiltfin

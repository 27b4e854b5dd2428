#pragma once
// Two directories with the same files.

#include "tests/cases/commands/program_run.hpp"
#include "tests/catch.hpp"

namespace tiltfin::tests {

/// Every file of `wanted`, of which there are more than `least`, byte for byte, and no other.
inline void check_same_files(const std::filesystem::path& found,
                             const std::filesystem::path& wanted, std::size_t least) {
  const std::map<std::string, std::string> is = all_files(found);
  const std::map<std::string, std::string> should = all_files(wanted);
  REQUIRE(should.size() > least);
  for (const auto& [name, text] : should) {
    CAPTURE(name);
    CHECK((is.contains(name) && is.at(name) == text));
  }
  CHECK(is.size() == should.size());
}

} // namespace tiltfin::tests

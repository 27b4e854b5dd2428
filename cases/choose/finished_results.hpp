#pragma once
// Results that a solve has left, taken for the case as it is.

#include "cases/file/case.hpp"
#include "post/numbers/outcome.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct FinishedResults {
  Case the_case;
  std::filesystem::path directory;
  std::vector<Outcome> outcomes; ///< added powers, too
};

/// Of `--from`, "": none. Throws InputError when the directory holds no results of this case.
[[nodiscard]] std::optional<FinishedResults> read_finished(const Case& the_case,
                                                           const std::string& directory);

} // namespace tiltfin

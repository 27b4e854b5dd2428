#pragma once
// A study: a case file, the keys of it that vary and the values they take. Every combination (or
// every row of a list) is a variant, a case of its own; nothing is solved here.
//
//   case = "small-block.toml"          # beside the study's file
//   [vary]                             # every combination (by the alphabet, the last key fastest)
//   block.fin_gap_mm = [3, 4, 5]
//   block.fin_height_mm = { from = 20, to = 40, step = 5 }
//   case.panel.on.free_area_ratio = [0.3, 0.5]    # of the [[case.panel]] of this name
//   conditions.powers_w = [[8, 16], [16, 24]]     # a key that is a list takes lists

#include "cases/file/case.hpp"

#include <filesystem>
#include <string>
#include <vector>

namespace tiltfin {

/// A key of the case file and the values that it takes.
struct VariedKey {
  std::string key; ///< "block.fin_gap_mm"
  int line = 0;    ///< where it stands in the study's file
  std::vector<TomlValue> values;
};

struct Study {
  std::string file; ///< that it was read from, for messages
  std::string text; ///< of that file
  std::string title;
  Case base;
  std::vector<VariedKey> keys;
  /// Of [[row]] lists: for each variant the number of its value of every key, -1 for that of the
  /// base. Empty: every combination.
  std::vector<std::vector<int>> rows;
};

/// Reads a study and its case. `base_file` "": the one that it names, from its own directory.
/// Throws InputError with file, line and key.
[[nodiscard]] Study read_study(const std::filesystem::path& path,
                               const std::filesystem::path& base_file = {});

/// How many variants there are; they have the numbers from 0 on.
[[nodiscard]] int n_variants(const Study& study);

/// The value of every varied key, as a case file would have it; "" where it stays the base's.
[[nodiscard]] std::vector<std::string> values_of(const Study& study, int number);

/// The case of a variant. Throws InputError with what does not fit.
[[nodiscard]] Case variant_of(const Study& study, int number);

} // namespace tiltfin

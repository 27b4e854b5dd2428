#pragma once
// A study's variants beside each other: the best of every orientation, what each varied key is
// worth, and power limit against metal.

#include "post/fits/core_limit.hpp"
#include "post/reports/trend_row.hpp"

#include <string>
#include <vector>

namespace tiltfin {

/// The power limit of a variant in one panel state and orientation.
struct StudyRow {
  int variant = 0;
  std::vector<std::string> values; ///< of the varied keys; "": that of the base
  double mass_kg = nan;            ///< of the cooler's metal; NaN: not described
  std::string panel;
  std::string orientation;
  SolvedLimit limit;
};

struct StudyReport {
  std::string title;
  CoreLimit core;                ///< of the base
  std::vector<std::string> keys; ///< that vary
  bool is_full = false;          ///< every combination of values: effects can be told
  std::vector<StudyRow> rows;    ///< by variant, then panel state and orientation
  int n_variants = 0;            ///< possible ones
  int n_missing = 0;             ///< of them not solved yet
};

/// What the rows with one value of a key have in common.
struct KeyEffect {
  std::string key;
  std::string value;
  std::string panel;
  std::string orientation;
  double mean_limit_w = nan; ///< geometric, of the variants whose limit is sound
  double best_limit_w = nan;
  int n = 0; ///< variants in it
};

/// By key, panel state and orientation, values in the order of the study. Means are taken over the
/// combinations that have a sound limit with every value of the key, so that nothing but the key
/// differs between them; empty where the study has no full combinations.
[[nodiscard]] std::vector<KeyEffect> key_effects(const StudyReport& report);

/// Rows that no other of the same panel state and orientation beats in both metal and limit, by
/// metal; places in `report.rows`. Limits that are not sound, and metal not known, are left out.
[[nodiscard]] std::vector<std::size_t>
best_for_metal(const StudyReport& report, const std::string& panel, const std::string& orientation);

[[nodiscard]] std::string study_table(const StudyReport& report);
[[nodiscard]] std::string study_csv(const StudyReport& report);
[[nodiscard]] std::string effects_csv(const StudyReport& report);

/// Power limit against metal, a series per panel state and orientation, the best joined; "" where
/// no variant's metal is known.
[[nodiscard]] std::string study_chart(const StudyReport& report);

} // namespace tiltfin

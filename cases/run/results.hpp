#pragma once
// The directory that results of a case are kept in. It holds case.toml (a copy of the case file),
// and per condition fields/<id>.vtr, pictures/<id>.svg and, last, conditions/<id>.json: a condition
// is finished when that file is there and as it was written (cases/file/stored.hpp).
// conditions/<id>.restart is where the next power of a chain starts from; only the last of each
// chain stays. On request conditions/<id>.state holds what the picture is drawn from. Then
// summary.csv, summary.json, trend.csv, heat.csv, fan.csv (of rings), why.csv and why.json. A
// directory belongs to one case: with the same one, files are replaced one by one, each at once;
// with another, nothing is touched.

#include "cases/file/case.hpp"
#include "cases/file/solved_text.hpp"
#include "cases/run/remarks.hpp"
#include "post/numbers/outcome.hpp"
#include "post/reports/report.hpp"
#include "post/reports/trend_row.hpp"
#include "solver/steady.hpp"

#include <filesystem>
#include <optional>
#include <span>
#include <string>

namespace tiltfin {

/// conditions/<id>.restart of the directory (cases/run/restart.hpp).
[[nodiscard]] std::filesystem::path restart_file(const std::filesystem::path& directory,
                                                 const std::string& id);
[[nodiscard]] std::filesystem::path state_file(const std::filesystem::path& directory,
                                               const std::string& id);

/// Makes the directory this case's own and copies its text there. With other results in it,
/// InputError, and nothing is touched. Only what the results depend on makes another case
/// (text_that_is_solved); without `resume` also the lists of conditions, so that no results of
/// conditions that are not asked for stay behind. Throws WriteError when it cannot write.
void claim_directory(const std::filesystem::path& directory, const Case& the_case, bool resume);

/// The case of a results directory, which the refusal calls `called`. Throws InputError.
[[nodiscard]] Case case_of_results(const std::filesystem::path& directory,
                                   const std::string& called);

/// The outcome on disk of a condition of this case; nothing when it is missing. Throws
/// StoredInputError when it is there but not as it was written for this case and condition
/// (cases/file/stored.hpp).
[[nodiscard]] std::optional<Outcome> finished_outcome(const std::filesystem::path& directory,
                                                      const Case& the_case, const std::string& id);

/// The same; what is not as it was written is missing, and `remarks` has a sentence about it that
/// ends with what `is_done` says.
[[nodiscard]] std::optional<Outcome> outcome_or_remark(const std::filesystem::path& directory,
                                                       const Case& the_case, const std::string& id,
                                                       Remarks& remarks, const char* is_done);

/// What is wrong with the fields on disk of a condition of this case, with their path; "" where
/// nothing is, and where there are none: who deleted them can do without.
[[nodiscard]] std::string fault_of_fields(const std::filesystem::path& directory,
                                          const Case& the_case, const std::string& id);

/// Writes the files of a solved condition: fields and picture of `reported`, and the outcome.
/// Throws WriteError when it cannot write.
void write_condition(const std::filesystem::path& directory, const Case& the_case,
                     const std::string& id, const Section& section, const Solution& reported,
                     const Outcome& outcome);

/// Writes the outcome alone, of a condition without a solution. Throws WriteError.
void write_outcome(const std::filesystem::path& directory, const Case& the_case,
                   const std::string& id, const Outcome& outcome);

/// Writes summary.csv, summary.json, trend.csv, heat.csv, why.csv, why.json, fields.pvd and, where
/// a fan stands for a ring, fan.csv, each at once. Throws WriteError when it cannot write.
void write_tables(const std::filesystem::path& directory, const Case& the_case,
                  std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                  const ReportContext& context);

} // namespace tiltfin

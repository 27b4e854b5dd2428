#pragma once
// Variants of a study, solved and on disk: variants/<thousands>/<number>.json, each with all its
// conditions, checked when it is read back (cases/file/stored.hpp). The directory also holds the
// study and its case (study.toml, base.toml), so that it needs nothing else; with `keep_files`
// everything that a solve writes stands in solved/<thousands>/<number>.

#include "cases/run/run.hpp"
#include "cases/study/plan.hpp"

#include <atomic>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

struct StudyOptions {
  std::filesystem::path directory;
  Share share{};
  int jobs = 0; ///< threads, 0: all cores
  StudyWork work{};
  bool keep_files = false;
  const std::atomic<bool>* stop = nullptr;
};

/// Makes the directory this study's own. Throws InputError where it is another's, WriteError where
/// it cannot be written.
void claim_for_study(const std::filesystem::path& directory, const Study& study);

/// Whether a directory is one that `claim_for_study` has made.
[[nodiscard]] bool is_study(const std::filesystem::path& directory);

/// The study that a directory is of. Throws InputError.
[[nodiscard]] Study study_in(const std::filesystem::path& directory);

/// Where a variant is in a directory: never more than a thousand beside each other.
[[nodiscard]] std::filesystem::path variant_file(const std::filesystem::path& directory,
                                                 int number);

/// What a variant came to; nothing where it is missing. Throws StoredInputError where it is not as
/// it was written for this variant.
[[nodiscard]] std::optional<CaseResults> solved_variant(const std::filesystem::path& directory,
                                                        const PlannedVariant& planned);

/// Solves what is missing of a share, each variant by itself and with the same result in any share,
/// on any number of threads and after any interruption; `tell` gets a line per variant. False when
/// the caller asked to stop. Throws WriteError when it cannot write.
[[nodiscard]] bool solve_share(const Study& study, const StudyPlan& plan,
                               const StudyOptions& options,
                               const std::function<void(const std::string&)>& tell);

/// Copies the variants of other directories of the same study that are not in this one, each
/// checked; the number that came. Throws InputError for a directory of another study and for a
/// variant that is damaged there and missing here.
[[nodiscard]] int take_variants(const std::filesystem::path& directory, const Study& study,
                                const StudyPlan& plan,
                                const std::vector<std::filesystem::path>& others);

} // namespace tiltfin

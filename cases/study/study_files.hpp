#pragma once
// What a study's directory says of its variants: study.csv, effects.csv and study.svg.

#include "cases/study/variants.hpp"
#include "post/reports/study_report.hpp"

#include <filesystem>

namespace tiltfin {

/// Of the variants that are solved, read one after another. Throws StoredInputError for one that is
/// not as it was written.
[[nodiscard]] StudyReport report_of(const std::filesystem::path& directory, const Study& study,
                                    const StudyPlan& plan);

/// Throws WriteError when it cannot write.
void write_study(const std::filesystem::path& directory, const StudyReport& report);

} // namespace tiltfin

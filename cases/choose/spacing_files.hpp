#pragma once
// The files of a search for the best gap.

#include "cases/choose/spacing_layouts.hpp"
#include "post/reports/spacing_report.hpp"

#include <filesystem>

namespace tiltfin {

/// Writes spacing.csv, spacing.json, a chart per thickness and height (spacing.svg when there is
/// one) and, per panel state and orientation, the pictures of a layout that is too tight, the best
/// and one that is too wide, drawn from layouts/ in the same colours. Throws std::runtime_error
/// when it cannot.
void write_spacing(const std::filesystem::path& directory, const Case& the_case,
                   const SpacingReport& report, const Layouts& layouts);

} // namespace tiltfin

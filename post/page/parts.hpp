#pragma once
// The parts of a report. Each is "" where the directory does not hold what it tells of.

#include "post/page/page_results.hpp"

#include <string>

namespace tiltfin {

/// The answer in words and in two numbers: best and poorest way to stand, what turning costs, why,
/// what would help.
[[nodiscard]] std::string answer_part(const PageResults& results);

/// Every row that is not to be relied on as it stands, by what is wrong with it, and the cautions.
[[nodiscard]] std::string warnings_part(const PageResults& results);

/// Power limits with their intervals.
[[nodiscard]] std::string ranking_part(const PageResults& results);

/// A waterfall per comparison of why.json.
[[nodiscard]] std::string why_part(const PageResults& results);

/// Bars per panel state and orientation of levers.json.
[[nodiscard]] std::string levers_part(const PageResults& results);

/// The second plane's section, and the limits of ends.json between which that of four open edges
/// lies.
[[nodiscard]] std::string ends_part(const PageResults& results);

/// Power limit and rise against the angle.
[[nodiscard]] std::string turn_part(const PageResults& results);

/// The sheets, or the pictures of conditions where no sheet was drawn, one power at a time.
[[nodiscard]] std::string pictures_part(const PageResults& results);

/// Animations (cases/run/animations.hpp), closed until they are asked for.
[[nodiscard]] std::string motion_part(const PageResults& results);

/// Rise against power.
[[nodiscard]] std::string rise_part(const PageResults& results);

/// Where the heat goes; where the air goes.
[[nodiscard]] std::string heat_part(const PageResults& results);
[[nodiscard]] std::string air_part(const PageResults& results);

/// Logs, computed against measured, gaps, coolers, studies: files of other commands.
[[nodiscard]] std::string compare_part(const PageResults& results);
[[nodiscard]] std::string bench_part(const PageResults& results);
[[nodiscard]] std::string spacing_part(const PageResults& results);
[[nodiscard]] std::string rank_part(const PageResults& results);
[[nodiscard]] std::string study_part(const PageResults& results);

/// Every condition, and the sections of the fans that stand for rings.
[[nodiscard]] std::string conditions_part(const PageResults& results);

/// What the model leaves out, as the case's notes say it.
[[nodiscard]] std::string notes_part(const PageResults& results);

/// Program, commands and case file.
[[nodiscard]] std::string again_part(const PageResults& results);

} // namespace tiltfin

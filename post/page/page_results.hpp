#pragma once
// What a report is made of: the files of a results directory as texts, and what is read of them.

#include "post/reports/report.hpp"
#include "post/reports/why.hpp"
#include "post/text/json.hpp"

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace tiltfin {

/// Texts by their path below the directory: "summary.json", "pictures/on_upright_40w.svg".
using PageFiles = std::map<std::string, std::string, std::less<>>;

/// The text of a file; "" where there is none.
[[nodiscard]] const std::string& text_of(const PageFiles& files, std::string_view path);

struct PageResults {
  PageFiles files;
  std::string title; ///< of the case; "Results" without one
  ReportContext context;
  std::vector<Outcome> outcomes; ///< empty without a summary
  std::vector<TrendRow> trends;  ///< best power limit first
  std::vector<Why> whys;
  std::optional<Json> levers; ///< levers.json
  std::optional<Json> ends;   ///< ends.json
  std::string recommendation; ///< which cooler to take, of rank.json; "" without it
};

/// Throws std::runtime_error, with the file, for one that is not what its name says.
[[nodiscard]] PageResults read_page_results(PageFiles files);

/// "flat-up, panel on"; without the panel where all conditions have the same.
[[nodiscard]] std::string place_name(const PageResults& results, const std::string& panel,
                                     const std::string& orientation);

/// Trends that have a power limit, best first.
[[nodiscard]] std::vector<const TrendRow*> limited_trends(const PageResults& results);

/// The condition is a result but real air may not behave so, or it is no result.
[[nodiscard]] bool is_doubtful(const Outcome& outcome);

/// Powers of the conditions, ascending.
[[nodiscard]] std::vector<double> powers_of(const PageResults& results);

/// The highest power that every panel state and orientation has a result at; the one with most
/// results where there is none. NaN without conditions.
[[nodiscard]] double common_power_w(const PageResults& results);

/// "12.3 ±0.4 K".
[[nodiscard]] std::string with_unit(const Estimate& estimate, const std::string& unit);

} // namespace tiltfin

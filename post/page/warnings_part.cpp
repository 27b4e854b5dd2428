#include "post/page/html.hpp"
#include "post/page/parts.hpp"
#include "post/reports/remarks.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <functional>

namespace tiltfin {
namespace {

/// Rows with something in common that a reader must know.
struct DoubtKind {
  const char* text;
  std::function<bool(const Outcome&)> has;
};

std::vector<DoubtKind> doubt_kinds() {
  return {{"Not converged: no results",
           [](const Outcome& outcome) {
             return outcome.status == SolveStatus::not_converged ||
                    outcome.status == SolveStatus::stopped;
           }},
          {"Outside the model: no numbers of a machine",
           [](const Outcome& outcome) { return is_outside(outcome); }},
          {"Doubtful, as said of them",
           [](const Outcome& outcome) { return outcome.standing == Standing::doubtful; }},
          {"Means over time: no steady flow was found, or air leaves it",
           [](const Outcome& outcome) { return outcome.status == SolveStatus::time_average; }},
          {"Steady flows that real air may leave: disturbances grow",
           [](const Outcome& outcome) {
             return outcome.status == SolveStatus::converged &&
                    outcome.stability.state == Stability::unstable;
           }},
          {"Steady flows that sway a little",
           [](const Outcome& outcome) { return outcome.stability.state == Stability::sways; }},
          {"Steady flows of listed powers that were not examined: real air may leave them",
           [](const Outcome& outcome) {
             return is_listed(outcome) && is_passed_over(outcome.stability.state);
           }},
          {"Another flow was found from another start",
           [](const Outcome& outcome) { return outcome.second.search == SecondSearch::found; }}};
}

/// "flat-up, panel on: 10, 20 W".
std::vector<std::string> rows_named(const PageResults& results, const DoubtKind& kind) {
  std::vector<std::string> names;
  std::string last;
  for (const Outcome& outcome : results.outcomes) {
    if (!kind.has(outcome)) {
      continue;
    }
    const std::string who = place_name(results, outcome.panel, outcome.orientation);
    if (who == last) {
      names.back() += fmt::format(", {:g} W", outcome.power_w);
    } else {
      names.push_back(fmt::format("{}: {:g} W", who, outcome.power_w));
    }
    last = who;
  }
  return names;
}

std::string doubt_html(const PageResults& results) {
  std::vector<std::string> items;
  for (const DoubtKind& kind : doubt_kinds()) {
    const std::vector<std::string> rows = rows_named(results, kind);
    if (!rows.empty()) {
      items.push_back(fmt::format("{}. {}.", kind.text, fmt::join(rows, "; ")));
    }
  }
  std::vector<std::string> starred;
  for (const TrendRow& row : results.trends) {
    if (row.limit.is_starred()) {
      starred.push_back(place_name(results, row.panel, row.orientation));
    }
  }
  if (!starred.empty()) {
    items.push_back(
        fmt::format("Power limits outside the solved powers (*). {}.", fmt::join(starred, "; ")));
  }
  for (const TrendRow& row : results.trends) {
    if (!row.limit.doubt.empty()) {
      items.push_back(fmt::format("Power limit, {}: {}.",
                                  place_name(results, row.panel, row.orientation),
                                  row.limit.doubt));
    }
  }
  for (const std::string& item : unwrapped_items(expansion_remark(results.outcomes))) {
    items.push_back((item.starts_with("What it does") ? ""
                                                      : "Beyond the accepted range of the "
                                                        "Boussinesq approximation. ") +
                    item);
  }
  return items.empty() ? paragraph("No condition is in doubt.") : bullet_list(items);
}

} // namespace

std::string warnings_part(const PageResults& results) {
  std::string text = R"(<div class="warnings"><div><h3>Cautions</h3>)"
                     "\n" +
                     bullet_list(unwrapped_items(solve_cautions())) + "</div>\n";
  if (results.outcomes.empty()) {
    return text + "</div>\n";
  }
  text += "<div><h3>Rows in doubt</h3>\n" + doubt_html(results);
  const std::vector<std::string> said = unwrapped_items(warning_list(results.outcomes));
  if (!said.empty()) {
    text +=
        opening(fmt::format("What the program said of them ({})", said.size()), bullet_list(said));
  }
  return text + "</div></div>\n";
}

} // namespace tiltfin

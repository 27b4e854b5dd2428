#include "post/page/bars.hpp"
#include "post/page/figure.hpp"
#include "post/page/parts.hpp"
#include "post/reports/choices.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <cmath>

namespace tiltfin {
namespace {

PageTable limit_numbers(const PageResults& results) {
  PageTable table;
  table.caption = "Power limits, best first";
  table.head = {"stands",          "limit, W", "of best",  "solved between, W",
                "exponent (95 %)", "status",   "stability"};
  for (const TrendRow& row : results.trends) {
    const double share = row.limit.power_w.value / results.trends.front().limit.power_w.value;
    table.rows.push_back({place_name(results, row.panel, row.orientation),
                          show_limit(row.limit) + (row.limit.is_starred() ? "*" : ""),
                          show_percent(share), row.limit.between(), show_exponent(row.trend),
                          show_status(row.limit),
                          row.limit.skips_stability ? "not examined" : "examined"});
  }
  return table;
}

} // namespace

std::string ranking_part(const PageResults& results) {
  const std::vector<const TrendRow*> rows = limited_trends(results);
  if (rows.empty()) {
    return "";
  }
  BarChart chart{.title = "Power limit of every way to stand, with its interval",
                 .unit = "power limit, W",
                 .bars = {},
                 .legend = {}};
  for (const TrendRow* row : rows) {
    const double value = row->limit.power_w.value;
    const bool is_sure = row->limit.status == SolveStatus::converged &&
                         row->limit.standing == Standing::sound && !row->limit.is_starred();
    chart.bars.push_back(
        {.label = place_name(results, row->panel, row->orientation),
         .value = show_limit(row->limit) + (row->limit.is_starred() ? "* W" : " W"),
         .pieces = {{0.0, value, is_sure ? whole_colour : unsure_colour}},
         .tip = row->limit.power_w,
         .is_total = row == rows.front()});
  }
  chart.legend = {{"converged", whole_colour},
                  {"a mean over time, extrapolated (*), or in doubt", unsure_colour}};
  std::vector<std::string> texts = unwrapped_items(finish_worth(results.trends));
  return figure_html({.name = "power-limits",
                      .caption = "How much power the cooler takes, each way it stands. Lines: "
                                 "estimated error.",
                      .svg = bars_svg(chart),
                      .is_inline = true,
                      .table = limit_numbers(results)}) +
         bullet_list(texts);
}

} // namespace tiltfin

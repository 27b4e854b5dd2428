#include "post/fits/groups.hpp"
#include "post/page/figure.hpp"
#include "post/page/parts.hpp"
#include "post/reports/table_parts.hpp"
#include "post/views/chart.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace tiltfin {
namespace {

constexpr int curve_points = 32; // of the line of the limit
constexpr int joined_steps = 10; // between two neighbouring points

std::vector<std::string> names_in(const PageResults& results, std::string Outcome::*member) {
  std::vector<std::string> names;
  for (const Outcome& outcome : results.outcomes) {
    if (std::ranges::find(names, outcome.*member) == names.end()) {
      names.push_back(outcome.*member);
    }
  }
  return names;
}

int place_in(const std::vector<std::string>& names, const std::string& name) {
  return static_cast<int>(std::ranges::find(names, name) - names.begin());
}

/// Neighbouring points joined by power laws, as limits are found between them.
std::vector<ChartPoint> joined(std::vector<ChartPoint> points) {
  std::ranges::sort(points, {}, &ChartPoint::x);
  std::vector<ChartPoint> curve;
  for (std::size_t k = 1; k < points.size(); ++k) {
    const ChartPoint& from = points[k - 1];
    const ChartPoint& to = points[k];
    if (!(from.x > 0.0) || !(from.y > 0.0) || !(to.y > 0.0)) {
      continue;
    }
    for (int step = 0; step <= joined_steps; ++step) {
      const double share = static_cast<double>(step) / joined_steps;
      const double y = from.y * std::pow(to.y / from.y, share);
      curve.push_back({from.x * std::pow(to.x / from.x, share), y, y, y});
    }
  }
  return curve;
}

/// What the base may rise at most: the core's limit less what lies between it and the base.
ChartSeries limit_line(const CoreLimit& core, double lowest_w, double highest_w) {
  ChartSeries line;
  line.label = fmt::format("limit of {:g} °C{}", core.limit_temperature_c,
                           core.core_to_base_k_per_w > 0.0 ? " at the core" : "");
  line.colour = 6;
  line.is_dashed = true;
  for (int k = 0; k < curve_points; ++k) {
    const double x = lowest_w + (highest_w - lowest_w) * k / (curve_points - 1.0);
    const double y = core.rise_k() - core.core_to_base_k_per_w * x;
    if (y > 0.0) {
      line.curve.push_back({x, y, y, y});
    }
  }
  return line;
}

Chart rise_chart(const PageResults& results) {
  Chart chart;
  chart.title = "Rise of the base against power: " + results.title;
  chart.x_label = "power, W";
  chart.y_label = "base above the room, K";
  const std::vector<std::string> panels = names_in(results, &Outcome::panel);
  const std::vector<std::string> turns = names_in(results, &Outcome::orientation);
  for (const auto& group : groups_by_placing(results.outcomes)) {
    const Outcome& first = *group.front();
    const int panel = place_in(panels, first.panel);
    const int turn = place_in(turns, first.orientation);
    const bool is_pair = panels.size() <= 2;
    ChartSeries series;
    series.label = place_name(results, first.panel, first.orientation);
    series.colour = is_pair ? turn : turn + static_cast<int>(turns.size()) * panel;
    series.marker = panel % 2 == 1 ? Marker::square : Marker::disc;
    series.is_dashed = panel % 2 == 1;
    for (const Outcome* outcome : group) {
      if (is_solved(outcome->status) && std::isfinite(outcome->base_rise_mean_k.value)) {
        series.points.push_back(
            chart_point(outcome->power_w, outcome->base_rise_mean_k, is_doubtful(*outcome)));
      }
    }
    series.curve = joined(series.points);
    if (!series.points.empty()) {
      chart.series.push_back(std::move(series));
    }
  }
  const std::vector<double> powers = powers_of(results);
  if (!chart.series.empty() && powers.back() > powers.front()) {
    chart.series.push_back(limit_line(results.context.core, powers.front(), powers.back()));
  }
  chart.hollow_label = "a mean over time, or a flow that air may leave";
  return chart;
}

Json point_json(const ChartPoint& point) {
  Json json = Json::object();
  json.add("x", point.x);
  json.add("y", point.y);
  json.add("low", point.low);
  json.add("high", point.high);
  json.add("doubtful", point.is_doubtful);
  return json;
}

/// For post/page/report.js.
Json chart_json(const Chart& chart) {
  Json json = Json::object();
  json.add("kind", "points");
  json.add("x_label", chart.x_label);
  json.add("y_label", chart.y_label);
  json.add("x_unit", "W");
  json.add("y_unit", "K");
  json.add("hollow", chart.hollow_label);
  Json list = Json::list();
  for (const ChartSeries& series : chart.series) {
    Json one = Json::object();
    one.add("label", series.label);
    one.add("colour", series_colour(series.colour));
    one.add("square", series.marker == Marker::square);
    one.add("dashed", series.is_dashed);
    Json points = Json::list();
    for (const ChartPoint& point : series.points) {
      points.push(point_json(point));
    }
    one.add("points", std::move(points));
    Json curve = Json::list();
    for (const ChartPoint& point : series.curve) {
      Json xy = Json::list();
      xy.push(Json(point.x));
      xy.push(Json(point.y));
      curve.push(std::move(xy));
    }
    one.add("curve", std::move(curve));
    list.push(std::move(one));
  }
  json.add("series", std::move(list));
  return json;
}

PageTable rise_numbers(const PageResults& results) {
  PageTable table;
  table.caption = "Mean rise of the base above the room's air, K (± estimated error of the mesh)";
  table.head = {"stands"};
  const std::vector<double> powers = powers_of(results);
  for (const double power : powers) {
    table.head.push_back(fmt::format("{:g} W", power));
  }
  for (const auto& group : groups_by_placing(results.outcomes)) {
    std::vector<std::string> row{
        place_name(results, group.front()->panel, group.front()->orientation)};
    for (const double power : powers) {
      const auto found = std::ranges::find(group, power, &Outcome::power_w);
      row.push_back(found == group.end() ? ""
                                         : with_error((*found)->base_rise_mean_k) +
                                               (is_doubtful(**found) ? "~" : ""));
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

} // namespace

std::string rise_part(const PageResults& results) {
  const Chart chart = rise_chart(results);
  if (chart.series.empty()) {
    return "";
  }
  return figure_html(
      {.name = "rise-against-power",
       .caption =
           "Rise of the base above the room's air against power, with the estimated error; "
           "between points a power law. Where a curve meets the falling line lies its "
           "power limit. Hollow points and ~: a mean over time, or a flow that air may leave.",
       .svg = chart_svg(chart),
       .chart = chart_json(chart),
       .table = rise_numbers(results)});
}

} // namespace tiltfin

#include "post/page/stacks.hpp"

#include "post/page/bars.hpp"
#include "post/reports/table_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>
#include <utility>

namespace tiltfin {
namespace {

struct Stack {
  const Outcome* outcome = nullptr;
  std::vector<StackSegment> segments;
};

std::vector<Stack> all_stacks(const PageResults& results, const StackPart& part) {
  std::vector<Stack> stacks;
  for (const Outcome& outcome : results.outcomes) {
    if (is_solved(outcome.status)) {
      stacks.push_back({&outcome, part.segments(outcome)});
    }
  }
  return stacks;
}

/// Segments that are seen in some stack.
std::vector<bool> seen_segments(const std::vector<Stack>& stacks) {
  constexpr double least_share = 0.005; // of the largest segment: half a pixel wide
  double largest = 0.0;
  for (const Stack& stack : stacks) {
    for (const StackSegment& segment : stack.segments) {
      largest = std::fmax(largest, std::abs(segment.value.value));
    }
  }
  std::vector<bool> seen(stacks.front().segments.size(), false);
  for (const Stack& stack : stacks) {
    for (std::size_t k = 0; k < seen.size(); ++k) {
      seen[k] = seen[k] || std::abs(stack.segments[k].value.value) > least_share * largest;
    }
  }
  return seen;
}

/// Positive ones to the right of zero, negative ones to the left.
Bar stacked_bar(const Stack& stack, const std::vector<bool>& seen, const std::string& label,
                const std::string& unit) {
  Bar bar;
  bar.label = label;
  double right = 0.0;
  double left = 0.0;
  for (std::size_t k = 0; k < seen.size(); ++k) {
    const double value = stack.segments[k].value.value;
    if (!seen[k] || !std::isfinite(value)) {
      continue;
    }
    double& end = value < 0.0 ? left : right;
    bar.pieces.push_back({end, end + value, stack.segments[k].colour});
    end += value;
  }
  bar.value = fmt::format("{:.3g} {}", right + left, unit);
  return bar;
}

/// For post/page/report.js.
Json stack_json(const PageResults& results, const std::vector<Stack>& stacks,
                const std::vector<bool>& seen, const std::string& unit) {
  Json json = Json::object();
  json.add("kind", "stacks");
  json.add("unit", unit);
  Json segments = Json::list();
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (seen[k]) {
      Json segment = Json::object();
      segment.add("label", stacks.front().segments[k].label);
      segment.add("colour", stacks.front().segments[k].colour);
      segments.push(std::move(segment));
    }
  }
  json.add("segments", std::move(segments));
  Json bars = Json::list();
  for (const Stack& stack : stacks) {
    Json bar = Json::object();
    bar.add("label", place_name(results, stack.outcome->panel, stack.outcome->orientation));
    Json values = Json::list();
    Json errors = Json::list();
    for (std::size_t k = 0; k < seen.size(); ++k) {
      if (seen[k]) {
        values.push(Json(stack.segments[k].value.value));
        errors.push(Json(stack.segments[k].value.error));
      }
    }
    bar.add("values", std::move(values));
    bar.add("errors", std::move(errors));
    bars.push(std::move(bar));
  }
  json.add("bars", std::move(bars));
  return json;
}

PageTable stack_numbers(const PageResults& results, const std::vector<Stack>& stacks,
                        const std::vector<bool>& seen, const StackPart& part) {
  PageTable table;
  table.caption = fmt::format("All conditions, {}", part.unit);
  table.has_filter = true;
  table.head = {"stands", "power, W"};
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (seen[k]) {
      table.head.push_back(stacks.front().segments[k].label);
    }
  }
  for (const Stack& stack : stacks) {
    std::vector<std::string> row{
        place_name(results, stack.outcome->panel, stack.outcome->orientation),
        fmt::format("{:g}", stack.outcome->power_w)};
    for (std::size_t k = 0; k < seen.size(); ++k) {
      if (seen[k]) {
        row.push_back(with_error(stack.segments[k].value));
      }
    }
    table.rows.push_back(std::move(row));
  }
  return table;
}

/// Of conditions of one power.
std::string power_figure(const PageResults& results, const std::vector<Stack>& stacks,
                         const std::vector<bool>& seen, const StackPart& part, double power_w) {
  BarChart chart;
  chart.title = fmt::format("{} At {:g} W.", part.caption, power_w);
  chart.unit = part.unit;
  for (const Stack& stack : stacks) {
    chart.bars.push_back(stacked_bar(
        stack, seen, place_name(results, stack.outcome->panel, stack.outcome->orientation),
        part.unit));
  }
  for (std::size_t k = 0; k < seen.size(); ++k) {
    if (seen[k]) {
      chart.legend.push_back({stacks.front().segments[k].label, stacks.front().segments[k].colour});
    }
  }
  return figure_html({.name = part.name + element_name(fmt::format("-{:g}w", power_w)),
                      .caption = chart.title,
                      .svg = bars_svg(chart),
                      .is_inline = true,
                      .chart = stack_json(results, stacks, seen, part.unit)});
}

} // namespace

std::string stacks_html(const PageResults& results, const StackPart& part) {
  const std::vector<Stack> stacks = all_stacks(results, part);
  if (stacks.empty()) {
    return "";
  }
  const std::vector<bool> seen = seen_segments(stacks);
  if (std::ranges::none_of(seen, [](bool is_seen) { return is_seen; })) {
    return "";
  }
  std::vector<PageTab> tabs;
  std::size_t shown = 0;
  for (const double power : powers_of(results)) {
    std::vector<Stack> of_power;
    std::ranges::copy_if(stacks, std::back_inserter(of_power), [power](const Stack& stack) {
      return is_listed(*stack.outcome) && stack.outcome->power_w == power;
    });
    if (!of_power.empty()) {
      shown = power == common_power_w(results) ? tabs.size() : shown;
      tabs.push_back(
          {fmt::format("{:g} W", power), power_figure(results, of_power, seen, part, power)});
    }
  }
  return tabs_html(part.name + "-power", "Power", tabs, shown) +
         opening("The numbers", table_html(stack_numbers(results, stacks, seen, part)));
}

} // namespace tiltfin

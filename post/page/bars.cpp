#include "post/page/bars.hpp"

#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace tiltfin {
namespace {

constexpr double bars_width = 480.0; // 10 px letters on the narrowest screens
constexpr double bars_edge = 14.0;
constexpr double bars_top = 8.0;
constexpr double label_size = 14.0;
constexpr double label_line = 17.0;
constexpr double label_gap = 5.0; // from the line at zero
constexpr double bar_height = 14.0;
constexpr double below_bar = 12.0;
constexpr double bars_axis = 40.0;
constexpr double legend_size = 12.5;
constexpr double legend_pitch = 21.0;
constexpr const char* page_ink = "var(--ink,#26262e)";
constexpr const char* page_soft = "var(--soft,#5a5a66)";
constexpr const char* page_grid = "var(--grid,#e4e4ea)";

struct BarAxis {
  double low = 0.0;
  double high = 0.0;

  void reach(double value) {
    if (std::isfinite(value)) {
      low = std::min(low, value);
      high = std::max(high, value);
    }
  }
  [[nodiscard]] double at(double value) const {
    return bars_edge + (bars_width - 2.0 * bars_edge) * (value - low) / (high - low);
  }
};

BarAxis bar_axis(const BarChart& chart) {
  BarAxis axis;
  for (const Bar& bar : chart.bars) {
    for (const BarPiece& piece : bar.pieces) {
      axis.reach(piece.from);
      axis.reach(piece.to);
    }
    axis.reach(bar.tip.value - bar.tip.bar());
    axis.reach(bar.tip.value + bar.tip.bar());
  }
  axis.high = axis.high > axis.low ? axis.high : axis.low + 1.0;
  return axis;
}

std::string error_bar(const Estimate& tip, const BarAxis& axis, double middle) {
  if (!std::isfinite(tip.value) || tip.bar() <= 0.0) {
    return "";
  }
  const double low = axis.at(tip.value - tip.bar());
  const double high = axis.at(tip.value + tip.bar());
  std::string text = svg_line(low, middle, high, middle, page_ink, 1.6);
  for (const double end : {low, high}) {
    text += svg_line(end, middle - 4.5, end, middle + 4.5, page_ink, 1.6);
  }
  return text;
}

/// A label in as many lines as it needs beside its value.
std::vector<std::string> label_lines(const Bar& bar) {
  const double across =
      bars_width - 2.0 * bars_edge - label_gap - 10.0 - text_width(bar.value, label_size);
  std::vector<std::string> lines(1);
  std::size_t begin = 0;
  while (begin < bar.label.size()) {
    const std::size_t end = std::min(bar.label.find(' ', begin), bar.label.size());
    const std::string word = bar.label.substr(begin, end - begin);
    const std::string longer = lines.back().empty() ? word : lines.back() + " " + word;
    if (!lines.back().empty() && text_width(longer, label_size) > across) {
      lines.push_back(word);
    } else {
      lines.back() = longer;
    }
    begin = end + 1;
  }
  return lines;
}

/// From `y` on; moves it below.
std::string bar_svg(const Bar& bar, const BarAxis& axis, double& y) {
  std::string text =
      svg_text(bars_width - bars_edge, y + label_size - 1.0, bar.value,
               {.size = label_size, .anchor = "end", .colour = page_ink, .is_bold = bar.is_total});
  for (const std::string& line : label_lines(bar)) {
    text += svg_text(bars_edge + label_gap, y + label_size - 1.0, line,
                     {.size = label_size, .colour = page_ink, .is_bold = bar.is_total});
    y += label_line;
  }
  y += 2.0;
  for (const BarPiece& piece : bar.pieces) {
    if (std::isfinite(piece.from) && std::isfinite(piece.to)) {
      const double x0 = axis.at(std::min(piece.from, piece.to));
      const double x1 = axis.at(std::max(piece.from, piece.to));
      text += fmt::format(
          R"(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" rx="1.5" fill="{}"/>)"
          "\n",
          x0, y, std::max(x1 - x0, 1.0), bar_height, piece.colour);
    }
  }
  text += error_bar(bar.tip, axis, y + 0.5 * bar_height);
  y += bar_height + below_bar;
  return text;
}

std::string bar_ticks(const BarAxis& axis, const std::string& unit, double bottom) {
  std::string text;
  for (const double tick : round_ticks(axis.low, axis.high, 6)) {
    text += svg_line(axis.at(tick), 6.0, axis.at(tick), bottom, page_grid, 1.0);
    const bool is_first = axis.at(tick) < bars_edge + 8.0;
    text += svg_text(axis.at(tick), bottom + 15.0, fmt::format("{:g}", tick),
                     {.anchor = is_first ? "start" : "middle", .colour = page_soft});
  }
  text += svg_line(axis.at(0.0), 6.0, axis.at(0.0), bottom, page_soft, 1.2);
  return text + svg_text(bars_width - bars_edge, bottom + 31.0, unit,
                         {.anchor = "end", .colour = page_soft});
}

/// Entries from `y` on, as many to a row as fit; moves `y` below them.
std::string bar_legend(const std::vector<BarLegend>& legend, double& y) {
  std::string text;
  double x = bars_edge;
  for (const BarLegend& entry : legend) {
    const double across = 20.0 + text_width(entry.label, legend_size) + 12.0;
    if (x > bars_edge && x + across > bars_width) {
      x = bars_edge;
      y += legend_pitch;
    }
    text += fmt::format(R"(<rect x="{:.1f}" y="{:.1f}" width="13" height="13" rx="1.5" fill="{}"/>)"
                        "\n",
                        x, y, entry.colour);
    text += svg_text(x + 19.0, y + 11.0, entry.label, {.size = legend_size, .colour = page_ink});
    x += across;
  }
  y += legend.empty() ? 0.0 : legend_pitch + 4.0;
  return text;
}

} // namespace

std::string bars_svg(const BarChart& chart) {
  const BarAxis axis = bar_axis(chart);
  double bottom = bars_top;
  std::string bars;
  for (const Bar& bar : chart.bars) {
    bars += bar_svg(bar, axis, bottom);
  }
  std::string body = bar_ticks(axis, chart.unit, bottom) + bars;
  double height = bottom + bars_axis;
  body += bar_legend(chart.legend, height);
  return fmt::format(R"(<svg xmlns="http://www.w3.org/2000/svg" width="{0:g}" height="{1:g}" )"
                     R"(viewBox="0 0 {0:g} {1:g}" role="img" aria-label="{2}" )"
                     R"(font-family="Helvetica, Arial, 'DejaVu Sans', sans-serif">)"
                     "\n"
                     R"x(<rect width="{0:g}" height="{1:g}" fill="var(--plate,#ffffff)"/>)x"
                     "\n{3}</svg>\n",
                     bars_width, std::ceil(height), xml_escaped(chart.title), body);
}

} // namespace tiltfin

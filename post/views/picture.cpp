#include "post/views/picture.hpp"

#include "post/numbers/balances.hpp"
#include "post/text/table_text.hpp"
#include "post/views/colour.hpp"
#include "post/views/page.hpp"
#include "post/views/streamlines.hpp"
#include "post/views/temperature_image.hpp"
#include "solver/bounds.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <stdexcept>

namespace tiltfin {
namespace {

/// Where things stand on the page [px].
struct Layout {
  double width = 0.0;
  double height = 0.0;
  PageView view;
  double left = 44.0;   ///< of the drawing
  double top = 88.0;    ///< of the drawing
  double right = 0.0;   ///< of the drawing
  double bottom = 0.0;  ///< of the drawing
  double column = 0.0;  ///< left edge of the colour bar
  double bar_top = 0.0; ///< of the colour bar
  double bar_bottom = 0.0;
};

/// With a room meshed around the machine, the machine and a margin; else the whole section.
Rectangle seen_part(const Section& section) {
  if (!section.machine) {
    return {0.0, section.width, 0.0, section.height};
  }
  const Rectangle& machine = *section.machine;
  const double margin = 0.3 * std::max(machine.width(), machine.height());
  return {std::max(0.0, machine.x0 - margin), std::min(section.width, machine.x1 + margin),
          std::max(0.0, machine.y0 - margin), std::min(section.height, machine.y1 + margin)};
}

std::string title_line(const Outcome& outcome) {
  return fmt::format("{} · {} · {} W", outcome.panel, outcome.orientation, outcome.power_w);
}

std::string caption_line(const Outcome& outcome) {
  std::string text;
  if (std::isfinite(outcome.base_rise_mean_k.value)) {
    text = fmt::format("base {} K above the room · ",
                       with_error(outcome.base_rise_mean_k.value, outcome.base_rise_mean_k.error));
  }
  return text + fmt::format("air up to {:.2f} m/s · {}", outcome.air_speed_max_m_per_s.value,
                            name(outcome.status));
}

Layout make_layout(const Rectangle& seen, const Problem& problem, const Outcome& outcome) {
  constexpr double largest_width = 680.0;
  constexpr double largest_height = 640.0;
  constexpr double smallest_height = 330.0; // room for colour bar and gravity arrow
  constexpr double column_width = 128.0;
  constexpr double foot = 58.0;
  Layout layout;
  layout.view = fit_view(seen, turn_to_room(problem.gravity_x, problem.gravity_y), largest_width,
                         largest_height);
  const PagePoint size = size_on_page(layout.view, seen);
  const double text =
      std::max(text_width(title_line(outcome), 20.0), text_width(caption_line(outcome), 14.0)) -
      column_width;
  const double box_width = std::max({size.x, text, 300.0});
  const double box_height = std::max(size.y, smallest_height);
  layout.right = layout.left + box_width;
  layout.bottom = layout.top + box_height;
  layout.view.middle = {0.5 * (layout.left + layout.right), 0.5 * (layout.top + layout.bottom)};
  layout.column = layout.right + 36.0;
  layout.bar_top = layout.top + 24.0;
  layout.bar_bottom = layout.bottom - 110.0;
  layout.width = layout.column + column_width - 36.0;
  layout.height = layout.bottom + foot;
  return layout;
}

/// Over the cells that have any part in `seen`; at least a tenth of a kelvin wide.
TemperatureRange temperature_range(const Problem& problem, const State& state,
                                   const Rectangle& seen) {
  const TensorMesh& mesh = problem.mesh;
  TemperatureRange range;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (mesh.x.at(i + 1) <= seen.x0 || mesh.x.at(i) >= seen.x1 || mesh.y.at(j + 1) <= seen.y0 ||
          mesh.y.at(j) >= seen.y1) {
        continue;
      }
      range.coldest = std::min(range.coldest, state.temperature[mesh.cell(i, j)]);
      range.hottest = std::max(range.hottest, state.temperature[mesh.cell(i, j)]);
    }
  }
  // What is colder than all surroundings is an error of coarse cells, which the report tells.
  const double outside = coldest_outside(problem);
  if (std::isfinite(outside)) {
    range.coldest = std::clamp(outside, range.coldest, range.hottest);
  }
  const double missing = 0.1 - (range.hottest - range.coldest);
  if (missing > 0.0) {
    range.coldest -= 0.5 * missing;
    range.hottest += 0.5 * missing;
  }
  return range;
}

std::string temperature_map(const Layout& layout, const Rectangle& seen, const Problem& problem,
                            const State& state, const TemperatureRange& range) {
  constexpr double largest_pixels = 900.0;
  constexpr double pixels_per_px = 1.25; // of the page, so that solids stay sharp when enlarged
  const double scale = std::min(pixels_per_px * layout.view.scale,
                                largest_pixels / std::max(seen.width(), seen.height()));
  ImageWindow window;
  window.seen = seen;
  window.n_x = std::max(1, static_cast<int>(std::lround(scale * seen.width())));
  window.n_y = std::max(1, static_cast<int>(std::lround(scale * seen.height())));
  window.coldest = range.coldest;
  window.hottest = range.hottest;
  const std::string png = temperature_png(problem, state, window);
  // The image's rows run from y1 down: its axes on the page are those of the turned board frame.
  const PageView& view = layout.view;
  const PagePoint corner = to_page(view, seen.x0, seen.y1);
  return fmt::format(
      R"x(<image x="0" y="0" width="{:.3f}" height="{:.3f}" preserveAspectRatio="none" )x"
      R"x(image-rendering="optimizeQuality" )x"
      R"x(transform="matrix({:.6f} {:.6f} {:.6f} {:.6f} {:.3f} {:.3f})" )x"
      R"x(xlink:href="data:image/png;base64,{}"/>)x"
      "\n",
      view.scale * seen.width(), view.scale * seen.height(), view.turn.cosine, -view.turn.sine,
      view.turn.sine, view.turn.cosine, corner.x, corner.y, png);
}

/// Tip direction and place of an arrowhead.
struct Head {
  PagePoint place;
  double along_x = 1.0; ///< unit vector of the flow on the page
  double along_y = 0.0;
};

/// Halfway along a line on the page, when the line is long enough to need an arrowhead.
std::optional<Head> head_of(const std::vector<PagePoint>& points) {
  constexpr double shortest_line = 50.0;
  double length = 0.0;
  for (std::size_t k = 1; k < points.size(); ++k) {
    length += std::hypot(points[k].x - points[k - 1].x, points[k].y - points[k - 1].y);
  }
  if (length < shortest_line) {
    return std::nullopt;
  }
  double left = 0.5 * length;
  for (std::size_t k = 1; k < points.size(); ++k) {
    const double dx = points[k].x - points[k - 1].x;
    const double dy = points[k].y - points[k - 1].y;
    const double here = std::hypot(dx, dy);
    if (here >= left) {
      const double share = left / here;
      return Head{
          {points[k - 1].x + share * dx, points[k - 1].y + share * dy}, dx / here, dy / here};
    }
    left -= here;
  }
  return std::nullopt;
}

/// Arrowheads that keep clear of each other; where they would crowd, some lines go without.
std::string arrowheads(const std::vector<std::vector<PagePoint>>& lines) {
  constexpr double clearance = 18.0;
  std::vector<PagePoint> places;
  std::string path;
  for (const std::vector<PagePoint>& points : lines) {
    const std::optional<Head> head = head_of(points);
    if (!head) {
      continue;
    }
    const PagePoint& p = head->place;
    const bool is_crowded = std::any_of(places.begin(), places.end(), [&p](const PagePoint& other) {
      return std::hypot(p.x - other.x, p.y - other.y) < clearance;
    });
    if (is_crowded) {
      continue;
    }
    places.push_back(p);
    const double ex = head->along_x;
    const double ey = head->along_y;
    path += fmt::format("M{:.1f} {:.1f}L{:.1f} {:.1f}L{:.1f} {:.1f}Z", p.x + 4.0 * ex,
                        p.y + 4.0 * ey, p.x - 3.0 * ex - 2.8 * ey, p.y - 3.0 * ey + 2.8 * ex,
                        p.x - 3.0 * ex + 2.8 * ey, p.y - 3.0 * ey - 2.8 * ex);
  }
  return path;
}

std::string streamline_paths(const PageView& view, const Streamlines& streamlines) {
  std::string path;
  std::vector<std::vector<PagePoint>> lines;
  for (const Streamline& line : streamlines.lines) {
    std::vector<PagePoint>& points = lines.emplace_back();
    for (const auto& [x, y] : line.points) {
      points.push_back(to_page(view, x, y));
      path += fmt::format("{}{:.1f} {:.1f}", points.size() == 1 ? "M" : "L", points.back().x,
                          points.back().y);
    }
  }
  if (path.empty()) {
    return "";
  }
  return fmt::format(R"x(<path class="streamlines-halo" d="{0}" fill="none" stroke="#ffffff" )x"
                     R"x(stroke-opacity="0.4" stroke-width="2" stroke-linejoin="round"/>)x"
                     "\n"
                     R"x(<path class="streamlines" d="{0}" fill="none" stroke="{1}" )x"
                     R"x(stroke-opacity="0.85" stroke-width="0.8" stroke-linejoin="round"/>)x"
                     "\n"
                     R"x(<path class="flow-direction" d="{2}" fill="{1}" stroke="#ffffff" )x"
                     R"x(stroke-opacity="0.5" stroke-width="0.6"/>)x"
                     "\n",
                     path, ink, arrowheads(lines));
}

/// Hatched, as solids are in drawings of sections, so that a hot plate stands out from hot air.
std::string solid_outlines(const PageView& view, const Section& section, const std::string& names) {
  std::string text = fmt::format(R"x(<defs><pattern id="{}hatch" width="5" height="5" )x"
                                 R"x(patternUnits="userSpaceOnUse" patternTransform="rotate(45)">)x"
                                 R"x(<path d="M0 2.5h5" stroke="#ffffff" stroke-width="1.1" )x"
                                 R"x(stroke-opacity="0.55"/></pattern></defs>)x"
                                 "\n",
                                 names);
  for (const Solid& solid : section.solids) {
    text += fmt::format(R"x(<path class="solid" data-name="{}" d="{}" fill="url(#{}hatch)" )x"
                        R"x(stroke="{}" stroke-width="1.2"/>)x"
                        "\n",
                        xml_escaped(solid.name), path_of(view, solid.extent), names, ink);
  }
  return text;
}

/// Fin media are outlined and lined along y: the temperature seen in them is that of the air.
std::string media_and_grilles(const PageView& view, const Section& section) {
  std::string text;
  for (const FinMedium& medium : section.media) {
    text += fmt::format(R"x(<path class="medium" data-name="{}" d="{}{}" fill="none" )x"
                        R"x(stroke="{}" stroke-width="0.8" stroke-dasharray="7 3"/>)x"
                        "\n",
                        xml_escaped(medium.name), path_of(view, medium.extent),
                        lines_along_y(view, medium.extent, 9.0), ink);
  }
  for (const Grille& grille : section.grilles) {
    text += fmt::format(R"x(<path class="grille" data-name="{}" d="{}" fill="none" )x"
                        R"x(stroke="{}" stroke-width="3" stroke-dasharray="4 3"/>)x"
                        "\n",
                        xml_escaped(grille.name), path_of(view, grille.line), ink);
  }
  return text;
}

/// "30", or "30.5" when the steps of the scale are finer than a degree.
std::string degree_label(double value, double step) {
  const int decimals = step >= 0.999 ? 0 : static_cast<int>(std::ceil(-std::log10(step) - 1e-9));
  return fmt::format("{:.{}f}", value, decimals);
}

std::string colour_bar(const Layout& layout, const TemperatureRange& range,
                       const std::string& names) {
  constexpr int n_steps = 64;
  constexpr double width = 18.0;
  const double x = layout.column;
  const double height = layout.bar_bottom - layout.bar_top;
  std::string text =
      fmt::format(R"x(<defs><linearGradient id="{}scale" x1="0" y1="1" x2="0" y2="0">)x", names);
  const std::vector<Colour> scale = temperature_scale(n_steps);
  for (int k = 0; k < n_steps; ++k) {
    text += fmt::format(R"x(<stop offset="{:.4f}" stop-color="{}"/>)x",
                        static_cast<double>(k) / (n_steps - 1), hex(scale[k]));
  }
  text += "</linearGradient></defs>\n";
  text += svg_text(x, layout.bar_top - 12.0, "°C", {.size = 13.0, .is_bold = true});
  text += fmt::format(R"x(<rect class="colour-bar" x="{:.1f}" y="{:.1f}" width="{:.1f}" )x"
                      R"x(height="{:.1f}" fill="url(#{}scale)" stroke="{}" stroke-width="0.8"/>)x"
                      "\n",
                      x, layout.bar_top, width, height, names, soft_ink);
  const double low = range.coldest - zero_celsius;
  const double high = range.hottest - zero_celsius;
  const std::vector<double> ticks = round_ticks(low, high, 8);
  const double step = ticks.size() > 1 ? ticks[1] - ticks[0] : 1.0;
  for (const double tick : ticks) {
    const double y = layout.bar_bottom - height * (tick - low) / (high - low);
    text += fmt::format(R"x(<path d="M{:.1f} {:.1f}h5" stroke="{}" stroke-width="0.8"/>)x",
                        x + width, y, soft_ink);
    text += svg_text(x + width + 9.0, y + 4.5, degree_label(tick, step), {.size = 13.0});
  }
  return text;
}

std::string gravity_arrow(const Layout& layout) {
  const double x = layout.column + 9.0;
  const double top = layout.bottom - 66.0;
  const double tip = layout.bottom - 4.0;
  return fmt::format(R"x(<g class="gravity"><path d="M{0:.1f} {1:.1f}V{2:.1f}" stroke="{4}" )x"
                     R"x(stroke-width="2" fill="none"/><path d="M{0:.1f} {3:.1f}l-6 -13h12z" )x"
                     R"x(fill="{4}"/></g>)x"
                     "\n",
                     x, top, tip - 10.0, tip, ink) +
         svg_text(x + 14.0, 0.5 * (top + tip) + 4.0, "gravity", {.size = 13.0});
}

std::string scale_bar(const Layout& layout) {
  const double length_mm =
      round_below(1000.0 * 0.28 * (layout.right - layout.left) / layout.view.scale);
  const double length = layout.view.scale * length_mm / 1000.0;
  const double y = layout.bottom + 26.0;
  return fmt::format(R"x(<path class="scale-bar" d="M{:.1f} {:.1f}v8m0 -4h{:.1f}m0 -4v8" )x"
                     R"x(stroke="{}" stroke-width="1.6" fill="none"/>)x"
                     "\n",
                     layout.left, y - 4.0, length, ink) +
         svg_text(layout.left + length + 9.0, y + 4.5, fmt::format("{:g} mm", length_mm),
                  {.size = 13.0});
}

/// What flows between two neighbouring streamlines, for the whole depth.
std::string flow_note(const Layout& layout, const Streamlines& streamlines, double density_depth) {
  if (streamlines.lines.empty()) {
    return "";
  }
  const double flow = 1000.0 * density_depth * streamlines.spacing;
  return svg_text(layout.right, layout.bottom + 30.5,
                  fmt::format("between neighbouring lines {:.2g} g/s of air", flow),
                  {.size = 13.0, .anchor = "end", .colour = soft_ink});
}

} // namespace

TemperatureRange shown_range(const Section& section, const Solution& solution) {
  return temperature_range(solution.problem, solution.state, seen_part(section));
}

Drawing picture(const Section& section, const Solution& solution, const Outcome& outcome,
                const PictureStyle& style) {
  const Problem& problem = solution.problem;
  const State& state = solution.state;
  const Rectangle seen = seen_part(section);
  const Layout layout = make_layout(seen, problem, outcome);
  const TemperatureRange range =
      style.range ? *style.range : temperature_range(problem, state, seen);
  const StreamlineOptions options{.focus = section.machine,
                                  .largest_step = 4.0 / layout.view.scale,
                                  .tolerance = 0.15 / layout.view.scale};
  const Streamlines streamlines = make_streamlines(problem.mesh, state, seen, options);
  const std::string frame = path_of(layout.view, seen);

  const std::string title = title_line(outcome);
  std::string text = svg_text(layout.left, 38.0, title, {.size = 20.0, .is_bold = true});
  text += svg_text(layout.left, 62.0, caption_line(outcome), {.size = 14.0, .colour = soft_ink});
  text += fmt::format(R"x(<clipPath id="{0}seen"><path d="{1}"/></clipPath>)x"
                      "\n"
                      R"x(<g clip-path="url(#{0}seen)">)x"
                      "\n",
                      style.names, frame);
  text += temperature_map(layout, seen, problem, state, range);
  text += streamline_paths(layout.view, streamlines);
  text += solid_outlines(layout.view, section, style.names);
  text += media_and_grilles(layout.view, section);
  text += "</g>\n";
  text += fmt::format(R"x(<path class="frame" d="{}" fill="none" stroke="{}" stroke-width="1"/>)x"
                      "\n",
                      frame, soft_ink);
  text += colour_bar(layout, range, style.names);
  if (problem.gravity_x != 0.0 || problem.gravity_y != 0.0) {
    text += gravity_arrow(layout);
  }
  text += scale_bar(layout);
  text += flow_note(layout, streamlines, problem.air.density * section.depth);
  return {layout.width, layout.height, title, text};
}

} // namespace tiltfin

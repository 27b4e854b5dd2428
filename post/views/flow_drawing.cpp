#include "post/views/flow_drawing.hpp"

#include "post/numbers/flows.hpp"
#include "post/views/colour.hpp"
#include "post/views/streamlines.hpp"
#include "post/views/svg.hpp"
#include "post/views/temperature_image.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

namespace tiltfin {
namespace {

std::string temperature_map(const SeenFlow& flow, const FlowDrawing& drawing) {
  constexpr double largest_pixels = 900.0;
  const PageView& view = drawing.view;
  const Rectangle& seen = drawing.seen;
  const double scale = std::min(drawing.pixels_per_px * view.scale,
                                largest_pixels / std::max(seen.width(), seen.height()));
  ImageWindow window;
  window.seen = seen;
  window.n_x = std::max(1, static_cast<int>(std::lround(scale * seen.width())));
  window.n_y = std::max(1, static_cast<int>(std::lround(scale * seen.height())));
  window.coldest = drawing.scale.coldest;
  window.hottest = drawing.scale.hottest;
  const std::string png = temperature_png(flow.mesh, flow.state, window);
  // The image's rows run from y1 down: its axes on the page are those of the turned board frame.
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

/// SVG path data to a tenth of a px, each point after the first relative to the one before.
std::string path_through(const std::vector<PagePoint>& points) {
  std::string path;
  long x = 0;
  long y = 0;
  for (const PagePoint& point : points) {
    const long next_x = std::lround(10.0 * point.x);
    const long next_y = std::lround(10.0 * point.y);
    if (path.empty()) {
      path = fmt::format("M{:g} {:g}l", 0.1 * static_cast<double>(next_x),
                         0.1 * static_cast<double>(next_y));
    } else if (next_x != x || next_y != y) {
      path += fmt::format("{}{:g}{}{:g}", next_x < x || path.back() == 'l' ? "" : " ",
                          0.1 * static_cast<double>(next_x - x), next_y < y ? "" : " ",
                          0.1 * static_cast<double>(next_y - y));
    }
    x = next_x;
    y = next_y;
  }
  return path.back() == 'l' ? "" : path;
}

std::string streamline_paths(const Section& section, const SeenFlow& flow,
                             const FlowDrawing& drawing) {
  const PageView& view = drawing.view;
  const StreamlineOptions options{.spacing = drawing.scale.line_g_per_s / grams_per_kg /
                                             (flow.air_density * section.depth),
                                  .largest_step = 4.0 / view.scale,
                                  .tolerance = drawing.tolerance / view.scale};
  std::string path;
  std::vector<std::vector<PagePoint>> lines;
  for (const Streamline& line : make_streamlines(flow.mesh, flow.state, drawing.seen, options)) {
    std::vector<PagePoint>& points = lines.emplace_back();
    for (const auto& [x, y] : line.points) {
      points.push_back(to_page(view, x, y));
    }
    path += path_through(points);
  }
  if (path.empty()) {
    return "";
  }
  return fmt::format(R"x(<defs><path id="{0}lines" d="{1}" fill="none" )x"
                     R"x(stroke-linejoin="round"/></defs>)x"
                     "\n"
                     R"x(<use class="streamlines-halo" xlink:href="#{0}lines" stroke="#ffffff" )x"
                     R"x(stroke-opacity="0.4" stroke-width="{3:.2g}"/>)x"
                     "\n"
                     R"x(<use class="streamlines" xlink:href="#{0}lines" stroke="{2}" )x"
                     R"x(stroke-opacity="0.85" stroke-width="{4:.2g}"/>)x"
                     "\n"
                     R"x(<path class="flow-direction" d="{5}" fill="{2}" stroke="#ffffff" )x"
                     R"x(stroke-opacity="0.5" stroke-width="0.6"/>)x"
                     "\n",
                     drawing.names, path, ink, drawing.line + 1.2, drawing.line, arrowheads(lines));
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

/// A side of the section on the page, from one end of what is seen of it to the other, and the unit
/// vector outwards.
struct SeenSide {
  PagePoint from;
  PagePoint to;
  PagePoint outwards;
};

SeenSide seen_side(const FlowDrawing& drawing, SideName side) {
  const Rectangle& seen = drawing.seen;
  const PageView& view = drawing.view;
  const auto ends = [&](double x0, double y0, double x1, double y1, double out_x, double out_y) {
    return SeenSide{to_page(view, x0, y0),
                    to_page(view, x1, y1),
                    {view.turn.cosine * out_x - view.turn.sine * out_y,
                     -view.turn.sine * out_x - view.turn.cosine * out_y}};
  };
  switch (side) {
  case west:
    return ends(seen.x0, seen.y0, seen.x0, seen.y1, -1.0, 0.0);
  case east:
    return ends(seen.x1, seen.y0, seen.x1, seen.y1, 1.0, 0.0);
  case south:
    return ends(seen.x0, seen.y0, seen.x1, seen.y0, 0.0, -1.0);
  default:
    return ends(seen.x0, seen.y1, seen.x1, seen.y1, 0.0, 1.0);
  }
}

/// Short strokes outside of a line, as the ground is drawn.
std::string ground(const SeenSide& side) {
  constexpr double apart = 6.0;
  constexpr double reach = 5.0;
  const double dx = side.to.x - side.from.x;
  const double dy = side.to.y - side.from.y;
  const double length = std::hypot(dx, dy);
  const int n = std::max(1, static_cast<int>(length / apart));
  std::string path;
  for (int k = 0; k < n; ++k) {
    const double share = (k + 1.0) / n;
    path += fmt::format("M{:.1f} {:.1f}l{:.1f} {:.1f}", side.from.x + share * dx,
                        side.from.y + share * dy, reach * (side.outwards.x - dx / length),
                        reach * (side.outwards.y - dy / length));
  }
  return path;
}

/// The sides of the section that are seen, as what they are; an open side is the frame alone.
std::string seen_sides(const Section& section, const FlowDrawing& drawing) {
  std::string text;
  for (int k = 0; k < 4; ++k) {
    const auto name = static_cast<SideName>(k);
    const SideKind kind = section.sides[index(k)].kind;
    if (!is_seen(section, drawing.seen, name) || kind == SideKind::open) {
      continue;
    }
    const SeenSide side = seen_side(drawing, name);
    const bool is_symmetry = kind == SideKind::symmetry;
    text +=
        page_line(side.from, side.to,
                  fmt::format(R"x(class="side" data-side="{}" stroke="{}" stroke-width="{}"{})x",
                              side_names[index(k)], ink, is_symmetry ? 1.4 : 2.2,
                              is_symmetry ? R"x( stroke-dasharray="12 4 2 4")x" : ""));
    if (!is_symmetry) {
      text += fmt::format(R"x(<path class="ground" d="{}" stroke="{}" stroke-width="0.9"/>)x"
                          "\n",
                          ground(side), ink);
    }
  }
  return text;
}

/// "30", or "30.5" when the steps of the scale are finer than a degree.
std::string degree_label(double value, double step) {
  const int decimals = step >= 0.999 ? 0 : static_cast<int>(std::ceil(-std::log10(step) - 1e-9));
  return fmt::format("{:.{}f}", value, decimals);
}

} // namespace

bool is_seen(const Section& section, const Rectangle& seen, SideName side) {
  switch (side) {
  case west:
    return seen.x0 <= same_length;
  case east:
    return seen.x1 >= section.width - same_length;
  case south:
    return seen.y0 <= same_length;
  default:
    return seen.y1 >= section.height - same_length;
  }
}

std::string flow_drawing(const Section& section, const SeenFlow& flow, const FlowDrawing& drawing) {
  const std::string frame = path_of(drawing.view, drawing.seen);
  std::string text = fmt::format(R"x(<clipPath id="{0}seen"><path d="{1}"/></clipPath>)x"
                                 "\n"
                                 R"x(<g clip-path="url(#{0}seen)">)x"
                                 "\n",
                                 drawing.names, frame);
  text += temperature_map(flow, drawing);
  text += streamline_paths(section, flow, drawing);
  text += solid_outlines(drawing.view, section, drawing.names);
  text += media_and_grilles(drawing.view, section);
  text += "</g>\n";
  text += fmt::format(R"x(<path class="frame" d="{}" fill="none" stroke="{}" stroke-width="1"/>)x"
                      "\n",
                      frame, soft_ink);
  return text + seen_sides(section, drawing);
}

std::string colour_bar(const PictureScale& scale, const ColourBar& bar) {
  constexpr int n_steps = 64;
  constexpr double thickness = 18.0;
  const auto& [x, y] = bar.corner;
  std::string text = fmt::format(R"x(<defs><linearGradient id="{}scale" x1="0" y1="{}" x2="{}" )x"
                                 R"x(y2="0">)x",
                                 bar.names, bar.is_level ? 0 : 1, bar.is_level ? 1 : 0);
  const std::vector<Colour> colours = temperature_scale(n_steps);
  for (int k = 0; k < n_steps; ++k) {
    text += fmt::format(R"x(<stop offset="{:.4f}" stop-color="{}"/>)x",
                        static_cast<double>(k) / (n_steps - 1), hex(colours[index(k)]));
  }
  text += "</linearGradient></defs>\n";
  text += fmt::format(R"x(<rect class="colour-bar" x="{:.1f}" y="{:.1f}" width="{:.1f}" )x"
                      R"x(height="{:.1f}" fill="url(#{}scale)" stroke="{}" stroke-width="0.8"/>)x"
                      "\n",
                      x, bar.is_level ? y : y - bar.length, bar.is_level ? bar.length : thickness,
                      bar.is_level ? thickness : bar.length, bar.names, soft_ink);
  text += bar.is_level
              ? svg_text(x + bar.length + 10.0, y + 14.0, "°C", {.size = 13.0, .is_bold = true})
              : svg_text(x, y - bar.length - 12.0, "°C", {.size = 13.0, .is_bold = true});
  const double low = scale.coldest - zero_celsius;
  const double high = scale.hottest - zero_celsius;
  const std::vector<double> ticks = round_ticks(low, high, 8);
  const double step = ticks.size() > 1 ? ticks[1] - ticks[0] : 1.0;
  for (const double tick : ticks) {
    const double along = bar.length * (tick - low) / (high - low);
    const PagePoint at =
        bar.is_level ? PagePoint{x + along, y + thickness} : PagePoint{x + thickness, y - along};
    text += fmt::format(R"x(<path d="M{:.1f} {:.1f}{}" stroke="{}" stroke-width="0.8"/>)x", at.x,
                        at.y, bar.is_level ? "v5" : "h5", soft_ink);
    text += bar.is_level
                ? svg_text(at.x, at.y + 18.0, degree_label(tick, step),
                           {.size = 13.0, .anchor = "middle"})
                : svg_text(at.x + 9.0, at.y + 4.5, degree_label(tick, step), {.size = 13.0});
  }
  return text;
}

std::string length_bar(const PagePoint& place, double px_per_m, double wanted) {
  const double length_mm = round_below(1000.0 * wanted / px_per_m);
  const double length = px_per_m * length_mm / 1000.0;
  return fmt::format(R"x(<path class="scale-bar" d="M{:.1f} {:.1f}v8m0 -4h{:.1f}m0 -4v8" )x"
                     R"x(stroke="{}" stroke-width="1.6" fill="none"/>)x"
                     "\n",
                     place.x, place.y - 4.0, length, ink) +
         svg_text(place.x + length + 9.0, place.y + 4.5, fmt::format("{:g} mm", length_mm),
                  {.size = 13.0});
}

std::string gravity_arrow(const PagePoint& top, double length) {
  const double tip = top.y + length;
  return fmt::format(R"x(<g class="gravity"><path d="M{0:.1f} {1:.1f}V{2:.1f}" stroke="{4}" )x"
                     R"x(stroke-width="2" fill="none"/><path d="M{0:.1f} {3:.1f}l-6 -13h12z" )x"
                     R"x(fill="{4}"/></g>)x"
                     "\n",
                     top.x, top.y, tip - 10.0, tip, ink) +
         svg_text(top.x + 14.0, top.y + 0.5 * length + 4.0, "gravity", {.size = 13.0});
}

} // namespace tiltfin

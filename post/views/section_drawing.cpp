#include "post/views/section_drawing.hpp"

#include "post/views/page.hpp"
#include "post/views/section_legend.hpp"
#include "post/views/section_style.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {
namespace {

const RoleStyle& style_of(Role role) {
  return *std::find_if(role_styles.begin(), role_styles.end(),
                       [role](const RoleStyle& style) { return style.role == role; });
}

/// What a side is, in words.
std::string side_text(const Side& side) {
  const double celsius = side.temperature - zero_celsius;
  switch (side.kind) {
  case SideKind::isothermal:
    return fmt::format("isothermal, {:.4g} °C", celsius);
  case SideKind::insulated:
    return "insulated";
  case SideKind::film:
    return fmt::format("film {:.4g} W/(m² K) to {:.4g} °C", side.film, celsius);
  case SideKind::open:
    return fmt::format("open to {:.4g} °C", celsius);
  case SideKind::symmetry:
    return "symmetry";
  }
  return "";
}

/// Dashes that tell the kinds of sides apart without colour.
const char* side_dashes(SideKind kind) {
  switch (kind) {
  case SideKind::open:
    return "2 5";
  case SideKind::symmetry:
    return "12 4 2 4";
  case SideKind::insulated:
    return "9 4";
  default:
    return "none";
  }
}

/// A solid's name on the solid itself, along its longer side, where it fits.
std::string name_on(const PageView& view, const Solid& solid) {
  constexpr double size = 11.0;
  const PagePoint extent = size_on_page(view, solid.extent);
  const double shorter = std::min(extent.x, extent.y);
  const double longer = std::max(extent.x, extent.y);
  if (shorter < size + 3.0 || longer < text_width(solid.name, size) + 6.0) {
    return "";
  }
  const bool is_upright = extent.y > extent.x && extent.x < text_width(solid.name, size) + 6.0;
  const PagePoint middle = to_page(view, 0.5 * (solid.extent.x0 + solid.extent.x1),
                                   0.5 * (solid.extent.y0 + solid.extent.y1));
  const double drop = 0.35 * size; // from the middle of the letters to their foot
  return svg_text(middle.x + (is_upright ? drop : 0.0), middle.y + (is_upright ? 0.0 : drop),
                  solid.name,
                  {.size = size,
                   .anchor = "middle",
                   .colour = style_of(solid.role).label,
                   .turn_deg = is_upright ? -90.0 : 0.0});
}

std::string mesh_lines(const PageView& view, const TensorMesh& mesh, const Rectangle& seen) {
  std::string path;
  const auto add = [&](double x0, double y0, double x1, double y1) {
    const PagePoint a = to_page(view, x0, y0);
    const PagePoint b = to_page(view, x1, y1);
    path += fmt::format("M{:.2f} {:.2f}L{:.2f} {:.2f}", a.x, a.y, b.x, b.y);
  };
  for (const double x : mesh.x.faces) {
    if (x > seen.x0 && x < seen.x1) {
      add(x, seen.y0, x, seen.y1);
    }
  }
  for (const double y : mesh.y.faces) {
    if (y > seen.y0 && y < seen.y1) {
      add(seen.x0, y, seen.x1, y);
    }
  }
  return fmt::format(R"x(<path class="mesh" d="{}" fill="none" stroke="{}" )x"
                     R"x(stroke-width="0.35" stroke-opacity="0.55"/>)x"
                     "\n",
                     path, soft_ink);
}

std::string links_and_openings(const PageView& view, const Section& section) {
  std::string text;
  for (const Link& link : section.links) {
    const auto middle = [&](const Rectangle& patch) {
      return to_page(view, 0.5 * (patch.x0 + patch.x1), 0.5 * (patch.y0 + patch.y1));
    };
    const PagePoint end = middle(link.patch_b);
    text += fmt::format(R"x(<circle cx="{:.2f}" cy="{:.2f}" r="2.4" fill="{}"/>)x"
                        "\n",
                        end.x, end.y, link_colour);
    text += page_line(middle(link.patch_a), end, fmt::format(R"x(class="link" {})x", link_line));
  }
  const auto draw = [&](const Rectangle& part, const char* kind, const char* style) {
    text += page_line(to_page(view, part.x0, part.y0), to_page(view, part.x1, part.y1),
                      fmt::format(R"x(class="{}" {})x", kind, style));
  };
  for (const Opening& opening : section.openings) {
    draw(opening.line, "opening", opening_line);
  }
  for (const Grille& grille : section.grilles) {
    draw(grille.line, "grille", grille_line);
  }
  return text;
}

/// The part `seen` of the section; names on solids, links and openings when `in_detail`.
std::string part_of(const PageView& view, const Section& section, const TensorMesh* mesh,
                    const Rectangle& seen, bool in_detail) {
  const std::string clip = in_detail ? "detail" : "whole";
  std::string text = fmt::format(R"x(<clipPath id="{0}"><path d="{1}"/></clipPath>)x"
                                 R"x(<g clip-path="url(#{0})"><path d="{1}" fill="#f7fafc"/>)x"
                                 "\n",
                                 clip, path_of(view, seen));
  for (const Solid& solid : section.solids) {
    text += fmt::format(R"x(<path class="solid" data-name="{}" data-role="{}" d="{}" )x"
                        R"x(fill="{}" stroke="{}" stroke-width="0.7"/>)x"
                        "\n",
                        xml_escaped(solid.name), name(solid.role), path_of(view, solid.extent),
                        style_of(solid.role).fill, ink);
  }
  for (const FinMedium& medium : section.media) {
    text += fmt::format(R"x(<path class="medium" data-name="{0}" d="{1}" fill="{2}" )x"
                        R"x(stroke="{3}" stroke-width="0.7"/><path d="{4}" fill="none" )x"
                        R"x(stroke="{3}" stroke-width="0.7"/>)x"
                        "\n",
                        xml_escaped(medium.name), path_of(view, medium.extent), medium_fill, ink,
                        lines_along_y(view, medium.extent, 7.0));
  }
  if (mesh != nullptr && in_detail) {
    text += mesh_lines(view, *mesh, seen);
  }
  text += links_and_openings(view, section);
  if (in_detail) {
    for (const Solid& solid : section.solids) {
      text += name_on(view, solid);
    }
  }
  return text + "</g>\n";
}

/// The four sides of the section as lines, each with its kind outside.
std::string side_lines(const PageView& view, const Section& section) {
  const PagePoint sw = to_page(view, 0.0, 0.0);
  const PagePoint ne = to_page(view, section.width, section.height);
  const PagePoint nw{sw.x, ne.y};
  const PagePoint se{ne.x, sw.y};
  const auto draw = [&](SideName side, const PagePoint& a, const PagePoint& b) {
    return page_line(a, b,
                     fmt::format(R"x(class="side" data-side="{}" stroke="{}" stroke-width="2.2" )x"
                                 R"x(stroke-dasharray="{}")x",
                                 side_names[side], ink, side_dashes(section.sides[side].kind)));
  };
  const auto label = [&](SideName side) {
    return fmt::format("{}: {}", side_names[side], side_text(section.sides[side]));
  };
  const double x = 0.5 * (sw.x + ne.x);
  const double y = 0.5 * (sw.y + ne.y);
  TextStyle style{.size = 12.0, .anchor = "middle", .colour = ink};
  std::string text = draw(west, sw, nw) + draw(east, se, ne) + draw(south, sw, se) +
                     draw(north, nw, ne) + svg_text(x, ne.y - 9.0, label(north), style) +
                     svg_text(x, sw.y + 18.0, label(south), style);
  style.turn_deg = -90.0;
  return text + svg_text(sw.x - 9.0, y, label(west), style) +
         svg_text(ne.x + 17.0, y, label(east), style);
}

/// Lengths of a rectangle below and to the left of it, `away` px outside.
std::string dimensions(const PageView& view, const Rectangle& part, double away) {
  const PagePoint sw = to_page(view, part.x0, part.y0);
  const PagePoint ne = to_page(view, part.x1, part.y1);
  const double y = sw.y + away;
  const double x = sw.x - away;
  const TextStyle style{.size = 12.0, .anchor = "middle", .colour = soft_ink};
  TextStyle turned = style;
  turned.turn_deg = -90.0;
  return fmt::format(R"x(<path class="dimension" d="M{0:.1f} {2:.1f}v10m0 -5H{1:.1f}m0 -5v10)x"
                     R"x(M{3:.1f} {4:.1f}h10m-5 0V{5:.1f}m-5 0h10" fill="none" stroke="{6}" )x"
                     R"x(stroke-width="1"/>)x"
                     "\n",
                     sw.x, ne.x, y - 5.0, x - 5.0, sw.y, ne.y, soft_ink) +
         svg_text(0.5 * (sw.x + ne.x), y + 16.0, fmt::format("{:.4g} mm", 1000.0 * part.width()),
                  style) +
         svg_text(x - 7.0, 0.5 * (sw.y + ne.y), fmt::format("{:.4g} mm", 1000.0 * part.height()),
                  turned);
}

/// The axes of the board frame; of a body of revolution y points away from its axis.
std::string axes(double x, double y, bool is_turned) {
  const TextStyle style{.size = 12.0, .colour = ink};
  return fmt::format(R"x(<g class="axes" stroke="{2}" fill="{2}"><path d="M{0:.1f} {1:.1f}h34" )x"
                     R"x(fill="none"/><path d="M{3:.1f} {1:.1f}l-8 -3.5v7z" stroke="none"/>)x"
                     R"x(<path d="M{0:.1f} {1:.1f}v-34" fill="none"/>)x"
                     R"x(<path d="M{0:.1f} {4:.1f}l-3.5 8h7z" stroke="none"/></g>)x"
                     "\n",
                     x, y, ink, x + 40.0, y - 40.0) +
         svg_text(x + 46.0, y + 4.0, "x, the board's normal", style) +
         svg_text(x - 3.0, y - 46.0,
                  is_turned ? "y, away from the axis" : "y, up when the board is upright", style);
}

/// The machine and a little around it, within the section.
Rectangle with_margin(const Rectangle& machine, const Rectangle& whole) {
  const double margin = 0.03 * std::max(machine.width(), machine.height());
  return {std::max(whole.x0, machine.x0 - margin), std::min(whole.x1, machine.x1 + margin),
          std::max(whole.y0, machine.y0 - margin), std::min(whole.y1, machine.y1 + margin)};
}

std::string summary_line(const Section& section, const TensorMesh* mesh) {
  std::string text = "board frame · ";
  if (section.axis_distance) {
    text += fmt::format("body of revolution, axis at y = {:.4g} mm",
                        0.0 - 1000.0 * *section.axis_distance);
  } else {
    text += fmt::format("depth {:.4g} mm", 1000.0 * section.depth);
  }
  if (mesh != nullptr) {
    text += fmt::format(" · mesh {} × {} = {} cells", mesh->x.n(), mesh->y.n(), mesh->n_cells());
  }
  return text;
}

} // namespace

std::string section_svg(const Section& section, const TensorMesh* mesh, const std::string& title) {
  constexpr double left = 84.0;
  constexpr double top = 124.0; // titles of the page and of both drawings
  constexpr double gap = 110.0; // between drawings: labels and dimensions of the second
  const Rectangle whole{0.0, section.width, 0.0, section.height};
  const bool has_room = section.machine.has_value();
  const Rectangle machine = section.machine.value_or(whole);
  const Rectangle detail = has_room ? with_margin(machine, whole) : whole;

  PageView view = fit_view(detail, {}, 620.0, 620.0);
  const PagePoint size = size_on_page(view, detail);
  view.middle = {left + 0.5 * size.x, top + 0.5 * size.y};
  double right = left + size.x;
  double bottom = top + size.y + 60.0;

  std::string text = part_of(view, section, mesh, detail, true);
  if (has_room) {
    text += fmt::format(R"x(<path class="machine" d="{}" fill="none" stroke="{}" )x"
                        R"x(stroke-width="0.8"/>)x"
                        "\n",
                        path_of(view, detail), soft_ink);
    text += svg_text(left, top - 12.0, "the machine", {.size = 13.0, .is_bold = true});
    text += dimensions(view, machine, 30.0);
    PageView room = fit_view(whole, {}, 330.0, std::max(330.0, size.y));
    const PagePoint room_size = size_on_page(room, whole);
    room.middle = {right + gap + 0.5 * room_size.x, top + 0.5 * room_size.y};
    text += part_of(room, section, nullptr, whole, false);
    text += fmt::format(R"x(<path class="machine" d="{}" fill="none" stroke="{}" )x"
                        R"x(stroke-width="1" stroke-dasharray="3 2"/>)x"
                        "\n",
                        path_of(room, machine), ink);
    text += svg_text(right + gap, top - 32.0, "the whole section, with the room around it",
                     {.size = 13.0, .is_bold = true});
    text += side_lines(room, section) + dimensions(room, whole, 34.0);
    bottom = std::max(bottom, top + room_size.y + 60.0);
    right += gap + room_size.x;
  } else {
    text += side_lines(view, section) + dimensions(view, whole, 34.0);
  }
  const SectionLegend legend = section_legend(section, right + 56.0, top + 10.0);
  text += legend.svg;
  bottom = std::max(bottom, legend.bottom) + 74.0;
  text += axes(left, bottom - 24.0, section.axis_distance.has_value());

  const std::string summary = summary_line(section, mesh);
  const double text_room =
      40.0 + std::max(text_width(title, 20.0, true), text_width(summary, 14.0));
  const double width = std::max(legend.right, text_room) + 28.0;
  std::string head = svg_text(40.0, 38.0, title, {.size = 20.0, .is_bold = true});
  head += svg_text(40.0, 62.0, summary, {.size = 14.0, .colour = soft_ink});
  return svg_file({width, bottom, title, head + text});
}

} // namespace tiltfin

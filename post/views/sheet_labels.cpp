#include "post/views/sheet_labels.hpp"

#include "mesh/index.hpp"
#include "post/numbers/cooler_outline.hpp"
#include "post/numbers/flows.hpp"
#include "post/views/flow_drawing.hpp"
#include "post/views/name_groups.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace tiltfin {
namespace {

constexpr double letters = 11.0; // size of labels [px]
constexpr double line_height = 13.5;
constexpr double padding = 3.0;
constexpr double smallest_named = 200.0; // picture whose parts and sides have room for names [px]
constexpr double gap_letters = 9.5;      // of the numbers between fins

/// Lines of text that name one of the places.
struct Naming {
  std::vector<std::string> lines;
  std::vector<PagePoint> places;
  bool is_strong = false;
};

/// A rectangle upright on the page round a turned one.
PageBox bounds_of(const PageView& view, const Rectangle& part) {
  const PagePoint middle = to_page(view, 0.5 * (part.x0 + part.x1), 0.5 * (part.y0 + part.y1));
  const PagePoint size = size_on_page(view, part);
  return {middle.x - 0.5 * size.x, middle.y - 0.5 * size.y, middle.x + 0.5 * size.x,
          middle.y + 0.5 * size.y};
}

/// Places along the longer middle line of a part, as far as they are seen.
void add_places(const PageView& view, const Rectangle& seen, const Rectangle& part,
                std::vector<PagePoint>& places) {
  const bool is_long_in_y = part.height() > part.width();
  for (const double share : {0.5, 0.2, 0.8, 0.04, 0.96}) {
    const double x = part.x0 + (is_long_in_y ? 0.5 : share) * part.width();
    const double y = part.y0 + (is_long_in_y ? share : 0.5) * part.height();
    if (x >= seen.x0 && x <= seen.x1 && y >= seen.y0 && y <= seen.y1) {
      places.push_back(to_page(view, x, y));
    }
  }
}

/// Mean over the cells of the solids, weighted by area [K].
double mean_temperature(const SeenFlow& flow, const std::vector<int>& solids) {
  const TensorMesh& mesh = flow.mesh;
  double sum = 0.0;
  double area = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const int cell = mesh.cell(i, j);
      if (std::ranges::find(solids, mesh.region[index(cell)] - 1) != solids.end()) {
        const double here = mesh.x.width(i) * mesh.y.width(j);
        sum += here * flow.state.temperature[index(cell)];
        area += here;
      }
    }
  }
  return sum / area;
}

/// Solids that share one label.
struct PartGroup {
  std::string name;
  std::vector<int> solids;
};

/// Names that count up together, all others alone; a wall of the case is called that.
std::vector<PartGroup> part_groups(const Section& section) {
  std::vector<std::string> names;
  for (const Solid& solid : section.solids) {
    names.push_back(solid.name);
  }
  std::vector<PartGroup> groups;
  for (const NameGroup& group : grouped_names(names)) {
    PartGroup part{group.members.size() == 1 ? group.first : group.plural(), {}};
    for (const std::size_t member : group.members) {
      part.solids.push_back(static_cast<int>(member));
    }
    if (section.machine && section.solids[group.members.front()].role == Role::wall) {
      part.name = "case";
    }
    groups.push_back(std::move(part));
  }
  return groups;
}

void add_parts(const Section& section, const SeenFlow& flow, const Rectangle& seen,
               const PageView& view, std::vector<Naming>& namings) {
  for (const PartGroup& group : part_groups(section)) {
    Naming naming;
    for (const int solid : group.solids) {
      add_places(view, seen, section.solids[index(solid)].extent, naming.places);
    }
    naming.lines = {fmt::format("{} {:.0f} °C", group.name,
                                mean_temperature(flow, group.solids) - zero_celsius)};
    namings.push_back(std::move(naming));
  }
  for (const Grille& grille : section.grilles) {
    Naming naming;
    naming.lines = {"grille"};
    add_places(view, seen, grille.line, naming.places);
    namings.push_back(std::move(naming));
  }
}

/// What a side of the section is, in a few words; empty for an open one.
std::string side_words(const Section& section, SideName name, const PageView& view) {
  const Side& side = section.sides[index(name)];
  const std::array<std::array<double, 2>, 4> outwards{
      {{-1.0, 0.0}, {1.0, 0.0}, {0.0, -1.0}, {0.0, 1.0}}};
  const auto& [x, y] = outwards[index(name)];
  const double up = view.turn.sine * x + view.turn.cosine * y;
  const char* wall = "wall";
  if (section.machine) {
    wall = up < -0.7 ? "surface below" : (up > 0.7 ? "surface above" : "surface beside");
  }
  switch (side.kind) {
  case SideKind::isothermal:
    return fmt::format("{}, {:.3g} °C", wall, side.temperature - zero_celsius);
  case SideKind::insulated:
    return fmt::format("{}, insulated", wall);
  case SideKind::film:
    return fmt::format("{}, {:.3g} W/(m² K) to {:.3g} °C", wall, side.film,
                       side.temperature - zero_celsius);
  case SideKind::symmetry:
    return section.axis_distance && name == south ? "axis" : "symmetry";
  case SideKind::open:
    return "";
  }
  return "";
}

void add_sides(const Section& section, const Rectangle& seen, const PageView& view,
               std::vector<Naming>& namings) {
  const std::array<Rectangle, 4> lines{{{seen.x0, seen.x0, seen.y0, seen.y1},
                                        {seen.x1, seen.x1, seen.y0, seen.y1},
                                        {seen.x0, seen.x1, seen.y0, seen.y0},
                                        {seen.x0, seen.x1, seen.y1, seen.y1}}};
  const auto of_words = [&namings](const std::string& words) -> Naming& { // sides alike: one label
    const auto known = std::ranges::find_if(
        namings, [&words](const Naming& naming) { return naming.lines.front() == words; });
    return known != namings.end() ? *known : namings.emplace_back(Naming{{words}, {}, false});
  };
  for (int k = 0; k < 4; ++k) {
    const auto name = static_cast<SideName>(k);
    const std::string words = side_words(section, name, view);
    if (!words.empty() && is_seen(section, seen, name)) {
      Naming& naming = of_words(words);
      add_places(view, seen, lines[index(k)], naming.places);
    }
  }
}

/// Inwards across one edge of a box: how much, and where its middle is.
struct EdgeInflow {
  double flow = 0.0;   ///< [m2/s]
  double moment = 0.0; ///< sum of flow times place along the edge [m3/s]
};

EdgeInflow edge_inflow(const SeenFlow& flow, const Rectangle& box, SideName side) {
  const TensorMesh& mesh = flow.mesh;
  const bool is_along_y = side == west || side == east;
  const Axis& along = is_along_y ? mesh.y : mesh.x;
  const Axis& across = is_along_y ? mesh.x : mesh.y;
  const int line = face_at(across, side == west    ? box.x0
                                   : side == east  ? box.x1
                                   : side == south ? box.y0
                                                   : box.y1);
  const int first = face_at(along, is_along_y ? box.y0 : box.x0);
  const int last = face_at(along, is_along_y ? box.y1 : box.x1);
  const double sense = side == west || side == north ? 1.0 : -1.0;
  EdgeInflow sum;
  for (int k = first; k < last; ++k) {
    const auto psi = [&](int m) {
      return flow.state.psi[index(is_along_y ? mesh.node(line, m) : mesh.node(m, line))];
    };
    const double inwards = std::max(0.0, sense * (psi(k + 1) - psi(k)));
    sum.flow += inwards;
    sum.moment += inwards * along.centre(k);
  }
  return sum;
}

/// Where the cooler draws most of its air from, just outside of its outline.
std::optional<PagePoint> feeding_place(const Section& section, const SeenFlow& flow,
                                       const PageView& view) {
  const std::optional<CoolerOutline> cooler = cooler_outline(section);
  if (!cooler) {
    return std::nullopt;
  }
  const double outside = 6.0 / view.scale;
  const Rectangle& box = cooler->box;
  std::optional<PagePoint> place;
  double most = 0.0;
  for (const SideName side : {west, east, south, north}) {
    const EdgeInflow inflow = edge_inflow(flow, box, side);
    if (inflow.flow > most) {
      most = inflow.flow;
      const double along = inflow.moment / inflow.flow;
      place = side == west    ? to_page(view, box.x0 - outside, along)
              : side == east  ? to_page(view, box.x1 + outside, along)
              : side == south ? to_page(view, along, box.y0 - outside)
                              : to_page(view, along, box.y1 + outside);
    }
  }
  return place;
}

/// "0.28"; "0" where it would be noise.
std::string flow_text(double g_per_s) {
  if (g_per_s < 5e-4) {
    return "0";
  }
  return g_per_s < 9.95 ? fmt::format("{:#.2g}", g_per_s) : fmt::format("{:.0f}", g_per_s);
}

void add_feeding(const Section& section, const SeenFlow& flow, const Outcome& outcome,
                 const PageView& view, std::vector<Naming>& namings) {
  const std::optional<PagePoint> place = feeding_place(section, flow, view);
  if (!place || outcome.feeding == Feeding::none) {
    return;
  }
  Naming naming;
  naming.places = {*place};
  naming.is_strong = true;
  if (outcome.feeding == Feeding::fed) {
    naming.lines = {
        fmt::format("feeding air {:.1f} °C", outcome.air_into_fins_c.value),
        fmt::format("{} g/s through the fins", flow_text(outcome.through_flow_g_per_s.value))};
  } else {
    naming.lines = {
        "not fed: stagnant air",
        fmt::format("{} g/s of fresh air", flow_text(outcome.through_flow_g_per_s.value))};
  }
  namings.push_back(std::move(naming));
}

/// White behind letters.
std::string plate(const PageBox& box, const char* more = "") {
  return fmt::format(R"x(<rect x="{:.1f}" y="{:.1f}" width="{:.1f}" height="{:.1f}" rx="2.5" )x"
                     R"x(fill="#ffffff" fill-opacity="0.86"{}/>)x"
                     "\n",
                     box.left, box.top, box.width(), box.height(), more);
}

/// The number of a gap, in it; false when it is too narrow or too short for that.
bool write_in_gap(const Gap& gap, const std::string& text, const PageView& view,
                  LabelPlacer& placer, SheetLabels& labels) {
  const double across = view.scale * gap.size();
  const double along = view.scale * (gap.across_x ? gap.extent.height() : gap.extent.width());
  const double width = text_width(text, gap_letters) + 2.0;
  if (across < gap_letters + 1.5 || along < width + 4.0) {
    return false;
  }
  const PageBox bounds = bounds_of(view, gap.extent);
  const PagePoint middle{0.5 * (bounds.left + bounds.right), 0.5 * (bounds.top + bounds.bottom)};
  // Along the gap, from left to right or upwards.
  const double run_x = gap.across_x ? -view.turn.sine : view.turn.cosine;
  const double run_y = gap.across_x ? -view.turn.cosine : -view.turn.sine;
  double angle = std::atan2(run_y, run_x) * 180.0 / std::acos(-1.0);
  angle = angle > 89.0 ? angle - 180.0 : (angle <= -91.0 ? angle + 180.0 : angle);
  const double turned = std::abs(std::sin(angle * std::acos(-1.0) / 180.0));
  const double straight = std::abs(std::cos(angle * std::acos(-1.0) / 180.0));
  const double high = gap_letters + 1.0;
  const double half_x = 0.5 * (straight * width + turned * high);
  const double half_y = 0.5 * (turned * width + straight * high);
  const PageBox box{middle.x - half_x, middle.y - half_y, middle.x + half_x, middle.y + half_y};
  const std::string turn =
      fmt::format(R"x( transform="rotate({:.1f} {:.1f} {:.1f})")x", angle, middle.x, middle.y);
  labels.svg += plate({middle.x - 0.5 * width, middle.y - 0.5 * high, middle.x + 0.5 * width,
                       middle.y + 0.5 * high},
                      turn.c_str());
  labels.svg += fmt::format(R"x(<g{}>)x", turn) +
                svg_text(middle.x, middle.y + 0.36 * gap_letters, text,
                         {.size = gap_letters, .anchor = "middle"}) +
                "</g>\n";
  placer.keep_clear(box);
  labels.boxes.push_back(box);
  return true;
}

/// Every gap's number where it fits; of those that are too narrow, what they have in common.
void add_gaps(const Section& section, const Outcome& outcome, const PageView& view,
              LabelPlacer& placer, SheetLabels& labels, std::vector<Naming>& namings) {
  const std::vector<Gap> gaps = fin_gaps(section);
  double least = 0.0;
  double most = 0.0;
  std::vector<PagePoint> narrow;
  for (std::size_t k = 0; k < std::min(gaps.size(), outcome.gaps.size()); ++k) {
    const double flow = outcome.gaps[k].in_flow_g_per_s.value;
    if (write_in_gap(gaps[k], flow_text(flow), view, placer, labels)) {
      continue;
    }
    least = narrow.empty() ? flow : std::min(least, flow);
    most = std::max(most, flow);
    const PageBox box = bounds_of(view, gaps[k].extent);
    narrow.push_back({0.5 * (box.left + box.right), 0.5 * (box.top + box.bottom)});
  }
  if (!narrow.empty()) {
    Naming naming;
    naming.lines = {narrow.size() == 1 ? fmt::format("gap {} g/s", flow_text(most))
                                       : fmt::format("{} gaps {} to {} g/s", narrow.size(),
                                                     flow_text(least), flow_text(most))};
    naming.places = std::move(narrow);
    namings.push_back(std::move(naming));
  }
  // After the gaps every medium stands twice, along y and along x; what enters it is the same.
  for (std::size_t k = 0; k < section.media.size(); ++k) {
    const FinMedium& medium = section.media[k];
    const std::size_t row = gaps.size() + 2 * k;
    Naming naming;
    naming.lines = {medium.name};
    if (row < outcome.gaps.size()) {
      naming.lines.front() +=
          fmt::format(": {} g/s enter", flow_text(outcome.gaps[row].in_flow_g_per_s.value));
    }
    add_places(view, medium.extent, medium.extent, naming.places);
    namings.push_back(std::move(naming));
  }
}

/// Labels rather do not hide the machine's parts, least of all its cooler.
void avoid_parts(const Section& section, const PageView& view, LabelPlacer& placer) {
  constexpr double cost_of_solid = 120.0;
  constexpr double cost_of_cooler = 160.0;
  for (const Solid& solid : section.solids) {
    placer.avoid(bounds_of(view, solid.extent), cost_of_solid);
  }
  if (const std::optional<CoolerOutline> cooler = cooler_outline(section)) {
    placer.avoid(bounds_of(view, cooler->box), cost_of_cooler);
  }
}

void write_label(const Naming& naming, LabelPlacer& placer, SheetLabels& labels) {
  LabelWish wish;
  for (const std::string& line : naming.lines) {
    wish.width = std::max(wish.width, text_width(line, letters, naming.is_strong) + 2.0 * padding);
  }
  wish.height = line_height * static_cast<double>(naming.lines.size()) + padding;
  wish.targets = naming.places;
  const std::optional<PlacedLabel> placed = placer.place(wish);
  if (!placed) {
    labels.left_out.push_back(naming.lines.front());
    return;
  }
  const PageBox& box = placed->box;
  if (placed->leader) {
    const auto& [a, b] = *placed->leader;
    labels.svg += page_line(a, b, R"x(stroke="#ffffff" stroke-width="2.6" stroke-opacity="0.8")x");
    labels.svg += page_line(a, b, fmt::format(R"x(stroke="{}" stroke-width="0.9")x", ink));
    labels.svg += fmt::format(R"x(<circle cx="{:.1f}" cy="{:.1f}" r="2.2" fill="{}" )x"
                              R"x(stroke="#ffffff" stroke-width="0.8"/>)x"
                              "\n",
                              a.x, a.y, ink);
  }
  labels.svg += plate(box);
  for (std::size_t k = 0; k < naming.lines.size(); ++k) {
    labels.svg +=
        svg_text(box.left + padding, box.top + line_height * (static_cast<double>(k) + 0.85),
                 naming.lines[k], {.size = letters, .is_bold = naming.is_strong});
  }
  labels.boxes.push_back(box);
}

} // namespace

SheetLabels sheet_labels(const Section& section, const SeenFlow& flow, const Outcome& outcome,
                         const Rectangle& seen, const PageView& view) {
  SheetLabels labels;
  const PageBox page = bounds_of(view, seen);
  LabelPlacer placer({page.left + 3.0, page.top + 3.0, page.right - 3.0, page.bottom - 3.0});
  avoid_parts(section, view, placer);
  std::vector<Naming> namings;
  add_feeding(section, flow, outcome, view, namings);
  add_gaps(section, outcome, view, placer, labels, namings);
  if (view.scale * std::min(seen.width(), seen.height()) >= smallest_named) {
    add_parts(section, flow, seen, view, namings);
    add_sides(section, seen, view, namings);
  }
  for (const Naming& naming : namings) {
    if (!naming.places.empty()) {
      write_label(naming, placer, labels);
    }
  }
  return labels;
}

} // namespace tiltfin

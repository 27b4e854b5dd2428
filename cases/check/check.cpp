#include "cases/check/check.hpp"

#include "cases/check/cost.hpp"
#include "cases/check/governing.hpp"
#include "cases/file/conditions.hpp"
#include "mesh/tensor_mesh.hpp"
#include "solver/radiation.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <iterator>

namespace tiltfin {
namespace {

constexpr double boussinesq_limit = 0.1; // largest expansion times rise
constexpr int fewest_cells_per_gap = 6;

using Text = std::back_insert_iterator<std::string>;

const char* words(SideKind kind) {
  switch (kind) {
  case SideKind::isothermal:
    return "isothermal";
  case SideKind::insulated:
    return "insulated";
  case SideKind::film:
    return "film";
  case SideKind::open:
    return "open";
  case SideKind::symmetry:
    return "symmetry";
  }
  return "";
}

int cells_across(const TensorMesh& mesh, const Gap& gap) {
  const Rectangle& run = gap.extent;
  // A hair inside the run, so that the cells found are its own whatever the rounding.
  const double inside = 1e-6 * gap.size();
  return gap.across_x ? cell_at(mesh.x, run.x1 - inside) - cell_at(mesh.x, run.x0 + inside) + 1
                      : cell_at(mesh.y, run.y1 - inside) - cell_at(mesh.y, run.y0 + inside) + 1;
}

std::string gap_end(const Section& section, int solid) {
  return solid < 0 ? "side" : section.solids[static_cast<std::size_t>(solid)].name;
}

void print_matrix(Text out, const Case& the_case) {
  const std::size_t n_panels = the_case.panels.size();
  const std::size_t n_orientations = the_case.orientations.size();
  const std::size_t n_powers = the_case.powers.size();
  fmt::format_to(out, "Conditions: {} (panel states {}, orientations {}, powers {})\n",
                 n_panels * n_orientations * n_powers, n_panels, n_orientations, n_powers);
  for (const Orientation& o : the_case.orientations) {
    fmt::format_to(out, "  {:<14} gravity ({:+.4f}, {:+.4f}, {:+.4f}) g in the board frame\n",
                   o.name, o.down[0], o.down[1], o.down[2]);
  }
  fmt::format_to(out, "  powers         {:g} W{}\n", fmt::join(the_case.powers, ", "),
                 the_case.adds_powers ? ", and some two more near each power limit" : "");
  if (const std::size_t n_angles = the_case.tilts.angles_deg.size(); n_angles > 0) {
    fmt::format_to(out,
                   "  tilts          {} angles from {:g} to {:g} degrees, each from either side: "
                   "{} steps at least\n",
                   n_angles, the_case.tilts.angles_deg.front(), the_case.tilts.angles_deg.back(),
                   2 * n_angles * n_panels * n_powers);
  }
  fmt::format_to(
      out,
      "  room {:g} degC, limit {:g} degC, die to base {:g} K/W, spreading {:.3g} K/W, g {:g} "
      "m/s2\n",
      the_case.room_temperature - zero_celsius, the_case.limit_temperature - zero_celsius,
      the_case.die_to_base, the_case.spreading, the_case.gravity);
  if (the_case.air) {
    fmt::format_to(
        out,
        "  air            constants: {:g} kg/m3, {:g} J/(kg K), {:g} W/(m K), {:g} Pa s, "
        "{:g} 1/K, reference {:g} degC\n",
        the_case.air->density, the_case.air->heat_capacity, the_case.air->conductivity,
        the_case.air->viscosity, the_case.air->expansion,
        the_case.air->reference_temperature - zero_celsius);
  } else {
    fmt::format_to(out, "  air            tables at the film temperature of each condition\n");
  }
}

void print_solids(Text out, const Section& section) {
  fmt::format_to(out, "  {:<18} {:<7} {:>17} {:>17} {:>16} {:>10} {:>10}\n", "solid", "role",
                 "x from-to [mm]", "y from-to [mm]", "k x, y [W/(m K)]", "power [%]", "emissivity");
  for (const Solid& solid : section.solids) {
    const Rectangle& r = solid.extent;
    fmt::format_to(out, "  {:<18} {:<7} {:>17} {:>17} {:>16} {:>10.4g} {:>10.3g}\n", solid.name,
                   name(solid.role), fmt::format("{:.5g}-{:.5g}", 1e3 * r.x0, 1e3 * r.x1),
                   fmt::format("{:.5g}-{:.5g}", 1e3 * r.y0, 1e3 * r.y1),
                   fmt::format("{:g}, {:g}", solid.conductivity_x, solid.conductivity_y),
                   100.0 * solid.heat_share, solid.emissivity);
  }
  for (const Solid& solid : section.solids) {
    if (solid.power > 0.0) {
      fmt::format_to(out, "  {} releases {:g} W at every power\n", solid.name, solid.power);
    }
  }
}

void print_media(Text out, const Section& section) {
  for (const FinMedium& medium : section.media) {
    const Rectangle& r = medium.extent;
    fmt::format_to(out,
                   "  fin medium {}: x {:.5g}-{:.5g} mm, y {:.5g}-{:.5g} mm, gaps from {:.4g} mm, "
                   "fins {:.4g} mm, {:g} W/(m K), emissivity {:g}\n",
                   medium.name, 1e3 * r.x0, 1e3 * r.x1, 1e3 * r.y0, 1e3 * r.y1,
                   1e3 * medium.narrowest_gap(), 1e3 * medium.fin_thickness, medium.conductivity,
                   medium.emissivity);
  }
}

void print_sides(Text out, const Section& section) {
  for (std::size_t s = 0; s < section.sides.size(); ++s) {
    const Side& side = section.sides[s];
    fmt::format_to(out, "  side {:<6}        {}", side_names[s], words(side.kind));
    if (side.kind == SideKind::isothermal || side.kind == SideKind::open) {
      fmt::format_to(out, ", {:g} degC", side.temperature - zero_celsius);
    } else if (side.kind == SideKind::film) {
      fmt::format_to(out, ", {:g} W/(m2 K), outside {:g} degC", side.film,
                     side.temperature - zero_celsius);
    }
    if (side.emissivity > 0.0) {
      fmt::format_to(out, ", emissivity {:g}", side.emissivity);
    }
    fmt::format_to(out, "\n");
  }
}

void print_radiation(Text out, const Section& section, const TensorMesh& mesh) {
  if (!radiates(section)) {
    fmt::format_to(out, "  radiation: none, no surface emits\n");
    return;
  }
  const RadiantZones zones = make_radiant_zones(section, mesh);
  fmt::format_to(out,
                 "  radiation: {} zones; view factors reciprocal to {:.1e} and closed to {:.1e} "
                 "before both are enforced\n",
                 zones.n(), zones.raw_reciprocity, zones.raw_closure);
}

void print_joints(Text out, const Section& section) {
  for (const Link& link : section.links) {
    fmt::format_to(out, "  link {}: {} to {}, {:g} W/K\n", link.name,
                   gap_end(section, link.solid_a), gap_end(section, link.solid_b),
                   link.conductance * section.depth);
  }
  for (const Contact& contact : section.contacts) {
    fmt::format_to(out, "  contact {} to {}: {:g} m2 K/W\n", gap_end(section, contact.solid_a),
                   gap_end(section, contact.solid_b), contact.resistance);
  }
  for (const Opening& opening : section.openings) {
    const Rectangle& r = opening.line;
    fmt::format_to(out, "  opening {}: x {:.5g}-{:.5g} mm, y {:.5g}-{:.5g} mm\n", opening.name,
                   1e3 * r.x0, 1e3 * r.x1, 1e3 * r.y0, 1e3 * r.y1);
  }
  for (const Grille& grille : section.grilles) {
    fmt::format_to(out, "  grille {}: dp = {:.4g} 1/m mu u + {:.4g} rho u^2 / 2\n", grille.name,
                   grille.linear, grille.quadratic);
  }
}

void print_numbers(Text out, const Case& the_case, const Section& section) {
  const Rise rise = governing_rise(the_case, section);
  const AirProperties air = governing_air(the_case, rise);
  fmt::format_to(out, "  governing numbers at {} {:g} K:\n",
                 rise.is_assumed ? "an assumed rise of" : "the sides' difference of", rise.kelvin);
  fmt::format_to(out, "    Ra = {:.3g} on the section's height of {:g} mm, Pr = {:.3g}\n",
                 rayleigh(the_case, air, rise.kelvin, section.height), 1e3 * section.height,
                 air.prandtl());
  const std::vector<Gap> gaps = fin_gaps(section);
  for (const FinMedium& medium : section.media) {
    const double gap = medium.narrowest_gap();
    const double ra = rayleigh(the_case, air, rise.kelvin, gap);
    const double length = medium.extent.height();
    fmt::format_to(out,
                   "    {}: gap s = {:g} mm, L = {:g} mm along y: Ra_s = {:.3g}, El = Ra_s s/L = "
                   "{:.3g}\n",
                   medium.name, 1e3 * gap, 1e3 * length, ra, ra * gap / length);
  }
  if (gaps.empty() && section.media.empty()) {
    fmt::format_to(out, "    no fin gaps\n");
  } else if (!gaps.empty()) {
    const Gap& gap = *std::min_element(
        gaps.begin(), gaps.end(), [](const Gap& a, const Gap& b) { return a.size() < b.size(); });
    const double length = gap.across_x ? gap.extent.height() : gap.extent.width();
    const double ra = rayleigh(the_case, air, rise.kelvin, gap.size());
    fmt::format_to(out,
                   "    fin gap s = {:g} mm, L = {:g} mm ({} to {}): Ra_s = {:.3g}, "
                   "El = Ra_s s/L = {:.3g}\n",
                   1e3 * gap.size(), 1e3 * length, gap_end(section, gap.solid_a),
                   gap_end(section, gap.solid_b), ra, ra * gap.size() / length);
  }
  fmt::format_to(out, "    expansion times rise = {:.3g} (Boussinesq: up to {:g})\n",
                 air.expansion * rise.kelvin, boussinesq_limit);
}

double largest_width(const Axis& axis) {
  double largest = 0.0;
  for (int i = 0; i < axis.n(); ++i) {
    largest = std::max(largest, axis.width(i));
  }
  return largest;
}

void print_section(Text out, const Case& the_case, const NamedSection& named) {
  const Section& section = *named.section;
  const std::string depth =
      section.axis_distance
          ? fmt::format("a body of revolution, axis {:g} mm below it", 1e3 * *section.axis_distance)
          : fmt::format("depth {:g} mm", 1e3 * section.depth);
  fmt::format_to(out, "\nPanel state {}: section {:g} x {:g} mm, {}\n", named.name,
                 1e3 * section.width, 1e3 * section.height, depth);
  print_solids(out, section);
  print_media(out, section);
  print_sides(out, section);
  print_joints(out, section);
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  fmt::format_to(out, "  mesh {} x {} = {} cells, {} unknowns, largest cell {:.3g} x {:.3g} mm\n",
                 mesh.x.n(), mesh.y.n(), mesh.n_cells(), count_unknowns(the_case, section, mesh),
                 1e3 * largest_width(mesh.x), 1e3 * largest_width(mesh.y));
  print_radiation(out, section, mesh);
  print_numbers(out, the_case, section);
}

void warn_of_gaps(std::vector<std::string>& warnings, const Case& the_case,
                  const NamedSection& named) {
  const Section& section = *named.section;
  const TensorMesh mesh = make_mesh(section, the_case.resolution);
  for (const Gap& gap : find_gaps(section)) {
    const int cells = cells_across(mesh, gap);
    if (cells < fewest_cells_per_gap) {
      warnings.push_back(fmt::format("panel state {}: the gap of {:.4g} mm between {} and {} has "
                                     "{} cells; fewer than {} are too coarse to trust",
                                     named.name, 1e3 * gap.size(), gap_end(section, gap.solid_a),
                                     gap_end(section, gap.solid_b), cells, fewest_cells_per_gap));
    }
  }
}

void warn_of_range(std::vector<std::string>& warnings, const Case& the_case,
                   const PanelState& panel) {
  const Rise rise = governing_rise(the_case, panel.sections.front());
  const double number = governing_air(the_case, rise).expansion * rise.kelvin;
  if (number <= boussinesq_limit) {
    return;
  }
  // expansion = 1 / (coldest + rise / 2), solved for the rise at the limit
  const double largest = the_case.air
                             ? boussinesq_limit / the_case.air->expansion
                             : boussinesq_limit * rise.coldest / (1.0 - 0.5 * boussinesq_limit);
  const std::string warning = fmt::format(
      "expansion times rise is {:.3g} at {} {:g} K; the Boussinesq approximation is accepted up to "
      "{:g}, that is a rise of {:.3g} K",
      number, rise.is_assumed ? "an assumed rise of" : "the sides' difference of", rise.kelvin,
      boussinesq_limit, largest);
  if (std::find(warnings.begin(), warnings.end(), warning) == warnings.end()) {
    warnings.push_back(warning); // once for panel states that agree
  }
}

/// A time in the unit that one would say it in.
std::string spoken(double seconds) {
  return seconds < 90.0 ? fmt::format("{:.2g} s", seconds)
                        : fmt::format("{:.2g} min", seconds / 60.0);
}

} // namespace

std::vector<std::string> case_warnings(const Case& the_case) {
  std::vector<std::string> warnings;
  for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
    const Section& section = the_case.panels.front().section_in(k);
    if (!can_answer(section, the_case.orientations[k])) {
      warnings.push_back(out_of_section(section, the_case.orientations[k]));
    }
  }
  for (const PanelState& panel : the_case.panels) {
    warn_of_range(warnings, the_case, panel);
    for (const NamedSection& named : sections_of(the_case, panel)) {
      warn_of_gaps(warnings, the_case, named);
    }
  }
  return warnings;
}

std::string check_report(const Case& the_case, const std::string& file) {
  std::string text;
  const Text out(text);
  fmt::format_to(out, "{}: {}\n\n", file, the_case.title);
  print_matrix(out, the_case);
  for (const PanelState& panel : the_case.panels) {
    for (const NamedSection& named : sections_of(the_case, panel)) {
      print_section(out, the_case, named);
    }
  }
  fmt::format_to(out, "\nDefaults taken:\n");
  for (const std::string& line : the_case.defaults) {
    fmt::format_to(out, "  {}\n", line);
  }
  if (the_case.defaults.empty()) {
    fmt::format_to(out, "  none, the file gives every key\n");
  }
  const Cost cost = expected_cost(the_case, 0);
  fmt::format_to(
      out,
      "\nExpected with {}: about {:.2g} GiB; first numbers after about {}, all after "
      "about {} (half to twice that; where the air does not come to rest, up to ten times)\n",
      cost.threads == 1 ? "one thread" : fmt::format("{} threads", cost.threads), cost.memory_gib,
      spoken(cost.first_seconds), spoken(cost.seconds));
  for (const std::string& note : the_case.notes) {
    fmt::format_to(out, "note: {}\n", note);
  }
  for (const std::string& warning : case_warnings(the_case)) {
    fmt::format_to(out, "warning: {}\n", warning);
  }
  return text;
}

} // namespace tiltfin

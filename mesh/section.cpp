#include "mesh/section.hpp"

#include "mesh/index.hpp"
#include "mesh/mesh_error.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>
#include <sstream>
#include <stdexcept>

namespace tiltfin {
namespace {

[[noreturn]] void refuse(const std::string& sentence) {
  throw MeshError(sentence);
}

void require(bool holds, const std::string& sentence) {
  if (!holds) {
    refuse(sentence);
  }
}

bool positive(double value) {
  return value > 0.0 && std::isfinite(value);
}

bool not_negative(double value) {
  return value >= 0.0 && std::isfinite(value);
}

std::string number(double value) {
  std::ostringstream text;
  text << value;
  return text.str();
}

std::string in_mm(const Rectangle& r) {
  std::ostringstream text;
  text << "x from " << 1e3 * r.x0 << " to " << 1e3 * r.x1 << " mm, y from " << 1e3 * r.y0 << " to "
       << 1e3 * r.y1 << " mm";
  return text.str();
}

std::string quoted(const std::string& name) {
  return "\"" + name + "\"";
}

bool has_area(const Rectangle& r) {
  return positive(r.width()) && positive(r.height()) && r.width() > same_length &&
         r.height() > same_length;
}

bool lies_inside(const Rectangle& r, const Section& section) {
  return r.x0 >= -same_length && r.y0 >= -same_length && r.x1 <= section.width + same_length &&
         r.y1 <= section.height + same_length;
}

bool overlap(const Rectangle& a, const Rectangle& b) {
  return std::min(a.x1, b.x1) - std::max(a.x0, b.x0) > same_length &&
         std::min(a.y1, b.y1) - std::max(a.y0, b.y0) > same_length;
}

std::string outer_size(const Section& section) {
  return "the section is " + number(1e3 * section.width) + " mm wide and " +
         number(1e3 * section.height) + " mm high";
}

void check_place(const std::string& subject, const Rectangle& r, const Section& section) {
  require(has_area(r), subject + " has no area (" + in_mm(r) + ").");
  require(lies_inside(r, section), subject + " reaches outside the section (" + in_mm(r) + "; " +
                                       outer_size(section) + ").");
}

void check_emissivity(const std::string& subject, double emissivity) {
  require(emissivity >= 0.0 && emissivity <= 1.0,
          subject + " needs an emissivity from 0 to 1, found " + number(emissivity) + ".");
}

void check_outer(const Section& section) {
  require(positive(section.width) && positive(section.height) && positive(section.depth),
          "The width, height and depth of the section must be positive and finite, found " +
              number(section.width) + ", " + number(section.height) + " and " +
              number(section.depth) + " m.");
  require(not_negative(section.radiant_zone),
          "The length of radiant zones must not be negative, found " +
              number(section.radiant_zone) + " m.");
  for (std::size_t k = 0; k < section.sides.size(); ++k) {
    const Side& side = section.sides[k];
    const std::string subject = std::string("The ") + side_names[k] + " side";
    require(positive(side.temperature), subject +
                                            " needs a temperature above absolute zero, found " +
                                            number(side.temperature) + " K.");
    check_emissivity(subject, side.emissivity);
    require(side.kind != SideKind::film || positive(side.film),
            subject + " needs a positive film coefficient, found " + number(side.film) +
                " W/(m2 K).");
  }
}

/// A sweep along x: a solid meets those only that begin before it ends.
void check_overlaps(const std::vector<Solid>& solids) {
  std::vector<std::size_t> order(solids.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return solids[a].extent.x0 < solids[b].extent.x0;
  });
  for (std::size_t i = 0; i < order.size(); ++i) {
    const Rectangle& extent = solids[order[i]].extent;
    for (std::size_t j = i + 1; j < order.size() && solids[order[j]].extent.x0 < extent.x1; ++j) {
      if (overlap(extent, solids[order[j]].extent)) {
        const Solid& first = solids[std::min(order[i], order[j])];
        const Solid& second = solids[std::max(order[i], order[j])];
        refuse("The solids " + quoted(first.name) + " (" + in_mm(first.extent) + ") and " +
               quoted(second.name) + " (" + in_mm(second.extent) + ") overlap.");
      }
    }
  }
}

void check_solids(const Section& section) {
  for (const Solid& solid : section.solids) {
    const std::string subject = "The solid " + quoted(solid.name);
    check_place(subject, solid.extent, section);
    require(positive(solid.conductivity_x) && positive(solid.conductivity_y),
            subject + " needs positive, finite conductivities, found " +
                number(solid.conductivity_x) + " and " + number(solid.conductivity_y) +
                " W/(m K).");
    require(not_negative(solid.heat_share), subject +
                                                " needs a share of the power that is not "
                                                "negative, found " +
                                                number(solid.heat_share) + ".");
    require(not_negative(solid.power),
            subject + " needs a power that is not negative, found " + number(solid.power) + " W.");
    check_emissivity(subject, solid.emissivity);
    for (const std::optional<double>& of_face : solid.face_emissivity) {
      check_emissivity(subject, of_face.value_or(0.0));
    }
  }
  check_overlaps(section.solids);
}

void check_pair(const std::string& subject, int a, int b, const Section& section) {
  const int n = static_cast<int>(section.solids.size());
  for (const int solid : {a, b}) {
    require(solid >= 0 && solid < n, subject + " names solid number " + std::to_string(solid) +
                                         ", but the section has " + std::to_string(n) + " solids.");
  }
  require(a != b,
          subject + " joins the solid " + quoted(section.solids[index(a)].name) + " to itself.");
}

void check_patch(const std::string& subject, const Rectangle& patch, int solid_number,
                 const Section& section) {
  const Solid& solid = section.solids[index(solid_number)];
  require(overlap(patch, solid.extent), subject + " has a patch (" + in_mm(patch) +
                                            ") that misses its solid " + quoted(solid.name) + " (" +
                                            in_mm(solid.extent) + ").");
}

void check_joints(const Section& section) {
  for (const Contact& contact : section.contacts) {
    check_pair("A contact", contact.solid_a, contact.solid_b, section);
    require(not_negative(contact.resistance),
            "A contact needs a resistance that is not negative, found " +
                number(contact.resistance) + " m2 K/W.");
  }
  for (const Link& link : section.links) {
    const std::string subject = "The link " + quoted(link.name);
    check_pair(subject, link.solid_a, link.solid_b, section);
    require(not_negative(link.conductance), subject +
                                                " needs a conductance that is not negative, "
                                                "found " +
                                                number(link.conductance) + " W/(K m).");
    check_patch(subject, link.patch_a, link.solid_a, section);
    check_patch(subject, link.patch_b, link.solid_b, section);
  }
}

void check_line(const std::string& subject, const Rectangle& line, const Section& section) {
  const double width = line.width();
  const double height = line.height();
  require((width == 0.0 && positive(height)) || (height == 0.0 && positive(width)),
          subject + " is not a straight line along x or y (" + in_mm(line) + ").");
  require(lies_inside(line, section), subject + " reaches outside the section (" + in_mm(line) +
                                          "; " + outer_size(section) + ").");
}

void check_marks(const Section& section) {
  for (const Opening& opening : section.openings) {
    check_line("The opening " + quoted(opening.name), opening.line, section);
  }
  if (section.machine) {
    check_place("The machine's outline", *section.machine, section);
  }
  const int n = static_cast<int>(section.solids.size());
  require(section.base >= -1 && section.base < n,
          "The base is solid number " + std::to_string(section.base) + ", but the section has " +
              std::to_string(n) + " solids.");
}

void check_media(const Section& section) {
  for (std::size_t a = 0; a < section.media.size(); ++a) {
    const FinMedium& medium = section.media[a];
    const std::string subject = "The fin medium " + quoted(medium.name);
    check_place(subject, medium.extent, section);
    require(positive(medium.narrowest_gap()) && positive(medium.fin_thickness) &&
                positive(medium.conductivity),
            subject + " needs a positive, finite gap, fin thickness and conductivity, found " +
                number(1e3 * medium.narrowest_gap()) + " mm, " +
                number(1e3 * medium.fin_thickness) + " mm and " + number(medium.conductivity) +
                " W/(m K).");
    require(not_negative(medium.heat_share),
            subject + " needs a share of the power that is not negative, found " +
                number(medium.heat_share) + ".");
    require(medium.profile >= 1.0 && std::isfinite(medium.profile),
            subject + " needs a velocity profile of at least 1, found " + number(medium.profile) +
                ".");
    for (const Solid& solid : section.solids) {
      require(!overlap(medium.extent, solid.extent),
              subject + " (" + in_mm(medium.extent) + ") overlaps the solid " + quoted(solid.name) +
                  " (" + in_mm(solid.extent) + ").");
    }
    for (std::size_t b = a + 1; b < section.media.size(); ++b) {
      require(!overlap(medium.extent, section.media[b].extent),
              subject + " (" + in_mm(medium.extent) + ") overlaps the fin medium " +
                  quoted(section.media[b].name) + " (" + in_mm(section.media[b].extent) + ").");
    }
  }
}

/// True when part of a line along x or y lies inside the rectangle.
bool crosses(const Rectangle& line, const Rectangle& r) {
  const double wide = std::min(line.x1, r.x1) - std::max(line.x0, r.x0);
  const double high = std::min(line.y1, r.y1) - std::max(line.y0, r.y0);
  const bool inside_x = line.x0 > r.x0 + same_length && line.x1 < r.x1 - same_length;
  const bool inside_y = line.y0 > r.y0 + same_length && line.y1 < r.y1 - same_length;
  return line.width() == 0.0 ? inside_x && high > same_length : inside_y && wide > same_length;
}

void check_grilles(const Section& section) {
  for (const Grille& grille : section.grilles) {
    const std::string subject = "The grille " + quoted(grille.name);
    check_line(subject, grille.line, section);
    require(not_negative(grille.linear) && not_negative(grille.quadratic),
            subject + " needs losses that are not negative, found " + number(grille.linear) +
                " 1/m and " + number(grille.quadratic) + ".");
    for (const Solid& solid : section.solids) {
      require(!crosses(grille.line, solid.extent), subject + " (" + in_mm(grille.line) +
                                                       ") runs through the solid " +
                                                       quoted(solid.name) + ".");
    }
  }
}

/// What a body of revolution needs. Fins in a medium stand like spokes: their number is the same at
/// every radius, so gap and fin together grow in proportion to it.
void check_round(const Section& section, double axis_distance) {
  require(not_negative(axis_distance),
          "The distance of the section from its axis must not be negative, found " +
              number(1e3 * axis_distance) + " mm.");
  require(axis_distance > 0.0 || section.sides[south].kind == SideKind::symmetry,
          "The south side of a section that begins on its axis must be a symmetry.");
  for (const FinMedium& medium : section.media) {
    const double middle = 0.5 * (medium.extent.y0 + medium.extent.y1);
    const double spokes = (medium.gap + medium.fin_thickness) / (axis_distance + middle);
    require(std::abs(medium.gap_growth - spokes) <= 1e-9 * spokes,
            "The fin medium " + quoted(medium.name) +
                " in a body of revolution must have fins like spokes: its gaps grow by " +
                number(spokes) + " along y, found " + number(medium.gap_growth) + ".");
  }
}

/// One direction of the plane: `along` it the runs go, `across` it the strips lie side by side.
struct Range {
  double low = 0.0;
  double high = 0.0;
};

Range along(const Rectangle& r, bool across_x) {
  return across_x ? Range{r.x0, r.x1} : Range{r.y0, r.y1};
}

Range across(const Rectangle& r, bool across_x) {
  return along(r, !across_x);
}

Rectangle rectangle(const Range& along_run, const Range& strip, bool across_x) {
  return across_x ? Rectangle{along_run.low, along_run.high, strip.low, strip.high}
                  : Rectangle{strip.low, strip.high, along_run.low, along_run.high};
}

/// A side bounds a run when it stops the air by friction.
bool is_obstacle(const Side& side) {
  return is_wall(side.kind) && side.kind != SideKind::symmetry;
}

/// Distinct edges across the direction of the runs, ascending, the section's own included.
std::vector<double> strip_edges(const Section& section, bool across_x) {
  const double end = across_x ? section.height : section.width;
  std::vector<double> edges{0.0, end};
  for (const Solid& solid : section.solids) {
    const Range range = across(solid.extent, across_x);
    edges.push_back(range.low);
    edges.push_back(range.high);
  }
  std::sort(edges.begin(), edges.end());
  const auto same = [](double a, double b) { return b - a <= same_length; };
  edges.erase(std::unique(edges.begin(), edges.end(), same), edges.end());
  return edges;
}

/// The air runs of one strip, from the low side to the high side.
std::vector<Gap> runs_in_strip(const Section& section, const Range& strip, bool across_x) {
  std::vector<int> crossing;
  for (int k = 0; k < static_cast<int>(section.solids.size()); ++k) {
    const Range range = across(section.solids[index(k)].extent, across_x);
    if (range.low <= strip.low + same_length && range.high >= strip.high - same_length) {
      crossing.push_back(k);
    }
  }
  const auto range_of = [&section, across_x](int k) {
    return along(section.solids[index(k)].extent, across_x);
  };
  std::sort(crossing.begin(), crossing.end(),
            [&range_of](int a, int b) { return range_of(a).low < range_of(b).low; });

  std::vector<Gap> runs;
  const auto add = [&](int a, int b, double low, double high) {
    if (high - low > same_length) {
      runs.push_back(Gap{a, b, rectangle(Range{low, high}, strip, across_x), across_x});
    }
  };
  int last = -1;
  double end = 0.0;
  bool bounded = is_obstacle(section.sides[across_x ? west : south]);
  for (const int k : crossing) {
    if (bounded) {
      add(last, k, end, range_of(k).low);
    }
    last = k;
    end = range_of(k).high;
    bounded = true;
  }
  if (bounded && is_obstacle(section.sides[across_x ? east : north])) {
    add(last, -1, end, across_x ? section.width : section.height);
  }
  return runs;
}

/// Widens the earlier gap that `run` continues in the next strip; false if there is none. The same
/// two obstacles always face each other over the same distance.
bool continue_gap(std::vector<Gap>& gaps, const Gap& run) {
  const Range strip = across(run.extent, run.across_x);
  for (Gap& gap : gaps) {
    const bool same_pair =
        gap.across_x == run.across_x && gap.solid_a == run.solid_a && gap.solid_b == run.solid_b;
    const Range width = across(gap.extent, gap.across_x);
    if (same_pair && std::abs(width.high - strip.low) <= same_length) {
      gap.extent =
          rectangle(along(gap.extent, gap.across_x), Range{width.low, strip.high}, gap.across_x);
      return true;
    }
  }
  return false;
}

} // namespace

std::vector<Gap> find_gaps(const Section& section) {
  std::vector<Gap> gaps;
  for (const bool across_x : {true, false}) {
    const std::vector<double> edges = strip_edges(section, across_x);
    for (std::size_t k = 0; k + 1 < edges.size(); ++k) {
      for (const Gap& run : runs_in_strip(section, Range{edges[k], edges[k + 1]}, across_x)) {
        if (!continue_gap(gaps, run)) {
          gaps.push_back(run);
        }
      }
    }
  }
  return gaps;
}

std::vector<Gap> fin_gaps(const Section& section) {
  const auto is_fin = [&section](int k) {
    if (k < 0) {
      return false;
    }
    const Role role = section.solids[index(k)].role;
    return role == Role::fin || role == Role::base;
  };
  std::vector<Gap> gaps = find_gaps(section);
  std::erase_if(gaps, [&](const Gap& gap) { return !is_fin(gap.solid_a) || !is_fin(gap.solid_b); });
  return gaps;
}

void check(const Section& section) {
  check_outer(section);
  check_solids(section);
  check_joints(section);
  check_marks(section);
  check_media(section);
  check_grilles(section);
  if (section.axis_distance) {
    check_round(section, *section.axis_distance);
  }
}

DepthRatio depth_ratio(const Section& section) {
  if (!section.axis_distance) {
    return {};
  }
  const double per_radius = 2.0 * std::numbers::pi / section.depth;
  return {per_radius * *section.axis_distance, per_radius};
}

Grille grille_losses(double free_area_ratio, double hole_diameter, double thickness) {
  require(free_area_ratio > 0.0 && free_area_ratio < 1.0,
          "The share of a grille that is open must lie between 0 and 1, found " +
              number(free_area_ratio) + ".");
  require(positive(hole_diameter) && positive(thickness),
          "The holes and the thickness of a grille must be positive and finite, found " +
              number(1e3 * hole_diameter) + " and " + number(1e3 * thickness) + " mm.");
  const double pi = std::numbers::pi;
  const double radius = 0.5 * hole_diameter;
  // dp = (mu Q / a^3)(3 + 8 t / (pi a)) with Q = pi a^2 u / share through each hole.
  Grille grille;
  grille.linear = pi * (3.0 + 8.0 * thickness / (pi * radius)) / (free_area_ratio * radius);
  const double blocked = 1.0 - free_area_ratio;
  const double loss = (0.707 * std::sqrt(blocked) + blocked) / free_area_ratio;
  grille.quadratic = loss * loss;
  return grille;
}

} // namespace tiltfin

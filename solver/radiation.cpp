#include "solver/radiation.hpp"

#include "mesh/index.hpp"
#include "solver/ring_factors.hpp"
#include "solver/slot.hpp"

#include <algorithm>
#include <cmath>

namespace tiltfin {

namespace {

constexpr double chosen_zones = 120.0; // see make_radiant_zones

double emissivity_of(const Section& section, int solid, SideName looks_to) {
  const Solid& own = section.solids[index(solid)];
  return own.face_emissivity[looks_to].value_or(own.emissivity);
}

/// The surface of a mesh face, seen from the air beside it.
struct Surface {
  bool exists = false;
  bool looks_up = false; ///< along the axis normal to the face
  int solid = -1;
  int medium = -1;
  SideName side = west; ///< when neither
  double depth = 0.0;   ///< of the gaps of a medium behind it [m]

  [[nodiscard]] bool is_side() const { return solid < 0 && medium < 0; }

  bool operator==(const Surface&) const = default;
};

/// Faces normal to one axis, seen in the same way for x and y.
struct Faces {
  const Section& section;
  const TensorMesh& mesh;
  bool normal_is_x;

  [[nodiscard]] const Axis& normal() const { return normal_is_x ? mesh.x : mesh.y; }
  [[nodiscard]] const Axis& tangent() const { return normal_is_x ? mesh.y : mesh.x; }
  /// 0 clear air, k + 1 the solid k, -(k + 1) the medium k.
  [[nodiscard]] int body(int a, int b) const {
    const int cell = normal_is_x ? mesh.cell(a, b) : mesh.cell(b, a);
    return mesh.region[index(cell)] - mesh.medium_at(cell);
  }
  /// Place in the list of all faces, as in Problem.
  [[nodiscard]] int number(int a, int b) const {
    return normal_is_x ? b * (mesh.x.n() + 1) + a : a * mesh.x.n() + b;
  }

  [[nodiscard]] SideName side_name(bool low) const {
    return normal_is_x ? (low ? west : east) : (low ? south : north);
  }
  [[nodiscard]] const Side& side(bool low) const { return section.sides[side_name(low)]; }

  [[nodiscard]] Surface surface(int a, int b) const {
    const bool at_low = a == 0;
    const bool at_high = a == normal().n();
    if (at_low || at_high) {
      const SideName side = side_name(at_low);
      const bool is_lit = body(at_low ? 0 : a - 1, b) == 0;
      return is_lit ? Surface{true, at_low, -1, -1, side, 0.0} : Surface{};
    }
    const int before = body(a - 1, b);
    const int after = body(a, b);
    if ((before == 0) == (after == 0)) {
      return {};
    }
    const int own = before == 0 ? after : before;
    const double depth = own < 0 ? gap_depth(a, b, after == 0) : 0.0;
    return {true, after == 0, std::max(own, 0) - 1, std::max(-own, 0) - 1, west, depth};
  }

  /// Depth of the gaps behind a medium's edge: to a solid, a wall or a mirror; where they are open
  /// at their other end too, half the way there.
  [[nodiscard]] double gap_depth(int a, int b, bool looks_up) const {
    const int step = looks_up ? -1 : 1;
    int cell = looks_up ? a - 1 : a;
    while (cell >= 0 && cell < normal().n() && body(cell, b) < 0) {
      cell += step;
    }
    const bool at_side = cell < 0 || cell >= normal().n();
    const double depth = std::abs(normal().at(looks_up ? cell + 1 : cell) - normal().at(a));
    const bool is_closed = at_side ? is_wall(side(looks_up).kind) : body(cell, b) > 0;
    return is_closed ? depth : 0.5 * depth;
  }

  [[nodiscard]] Strip strip(int a, int b0, int b1, bool looks_up) const {
    const double at = normal().at(a);
    const double low = tangent().at(b0);
    const double high = tangent().at(b1);
    // A strip looks to its left.
    if (normal_is_x) {
      return looks_up ? Strip{at, high, at, low} : Strip{at, low, at, high};
    }
    return looks_up ? Strip{low, at, high, at} : Strip{high, at, low, at};
  }

  [[nodiscard]] RadiantZone zone(const Surface& surface, const Strip& strip) const {
    RadiantZone zone;
    zone.strip = strip;
    zone.area = strip.length() * mesh.depth.at(0.5 * (strip.y0 + strip.y1));
    zone.solid = surface.solid;
    zone.medium = surface.medium;
    zone.side = surface.side;
    if (surface.medium >= 0) {
      const FinMedium& medium = section.media[index(surface.medium)];
      const double y = 0.5 * (strip.y0 + strip.y1);
      const double porosity = medium.porosity_at(y);
      zone.emissivity =
          porosity * slot_emissivity(medium.emissivity, surface.depth / medium.gap_at(y)) +
          (1.0 - porosity) * medium.emissivity;
    } else if (surface.solid >= 0) {
      const SideName looks_to =
          normal_is_x ? (surface.looks_up ? east : west) : (surface.looks_up ? north : south);
      zone.emissivity = emissivity_of(section, surface.solid, looks_to);
    } else {
      const Side& side = section.sides[surface.side];
      zone.emissivity = side.kind == SideKind::open ? 1.0 : side.emissivity;
    }
    return zone;
  }

  [[nodiscard]] bool is_open(const Surface& surface) const {
    return surface.is_side() && section.sides[surface.side].kind == SideKind::open;
  }
};

/// Which symmetry sides are mirrors: those that do not face another one, nor go round an axis.
std::array<bool, 4> mirrors(const Section& section) {
  std::array<bool, 4> is_mirror{};
  for (const auto& [low, high] : {std::array{west, east}, std::array{south, north}}) {
    const bool at_low = section.sides[low].kind == SideKind::symmetry;
    const bool at_high = section.sides[high].kind == SideKind::symmetry;
    is_mirror[low] = at_low && !at_high;
    is_mirror[high] = at_high && !at_low;
  }
  if (section.axis_distance) {
    is_mirror[south] = is_mirror[north] = false;
  }
  return is_mirror;
}

/// Sides that are no surfaces: mirrors, and the axis of a body of revolution.
std::array<bool, 4> no_surfaces(const Section& section) {
  std::array<bool, 4> is_none = mirrors(section);
  is_none[south] = is_none[south] || section.axis_distance == 0.0;
  return is_none;
}

/// Visits every straight run of faces of one surface: line a, faces b0 to b1 - 1.
template <class Visit>
void for_each_run(const Faces& faces, const std::array<bool, 4>& is_none, Visit visit) {
  for (int a = 0; a <= faces.normal().n(); ++a) {
    int b0 = 0;
    while (b0 < faces.tangent().n()) {
      const Surface surface = faces.surface(a, b0);
      int b1 = b0 + 1;
      while (b1 < faces.tangent().n() && faces.surface(a, b1) == surface) {
        ++b1;
      }
      if (surface.exists && !(surface.is_side() && is_none[surface.side])) {
        visit(surface, a, b0, b1);
      }
      b0 = b1;
    }
  }
}

/// Where a run is cut into zones of about `length`: face numbers, both ends included.
std::vector<int> cuts(const Axis& axis, int b0, int b1, double length) {
  const double from = axis.at(b0);
  const double whole = axis.at(b1) - from;
  const int parts = std::max(1, static_cast<int>(std::lround(whole / length)));
  std::vector<int> result{b0};
  for (int k = 1; k < parts; ++k) {
    const double wanted = from + whole * k / parts;
    const int below = cell_at(axis, wanted);
    const bool up = axis.at(below + 1) - wanted < wanted - axis.at(below);
    const int cut = up ? below + 1 : below;
    if (cut > result.back() && cut < b1) {
      result.push_back(cut);
    }
  }
  result.push_back(b1);
  return result;
}

double chosen_length(const Section& section, const TensorMesh& mesh,
                     const std::array<bool, 4>& is_none) {
  if (section.radiant_zone > 0.0) {
    return section.radiant_zone;
  }
  double total = 0.0;
  for (const bool normal_is_x : {true, false}) {
    const Faces faces{section, mesh, normal_is_x};
    for_each_run(faces, is_none, [&](const Surface& surface, int /*a*/, int b0, int b1) {
      if (!faces.is_open(surface)) {
        total += faces.tangent().at(b1) - faces.tangent().at(b0);
      }
    });
  }
  return total / chosen_zones;
}

/// The strips and their images in the mirrors, image after image of the whole list.
std::vector<Strip> unfolded(const Section& section, const RadiantZones& zones,
                            const std::array<bool, 4>& is_mirror) {
  std::vector<Strip> strips;
  for (const RadiantZone& zone : zones.zones) {
    strips.push_back(zone.strip);
  }
  for (const SideName side : {west, east, south, north}) {
    if (!is_mirror[side]) {
      continue;
    }
    const bool in_x = side == west || side == east;
    const double twice = side == east    ? 2.0 * section.width
                         : side == north ? 2.0 * section.height
                                         : 0.0;
    const std::size_t n = strips.size();
    for (std::size_t k = 0; k < n; ++k) {
      const Strip& s = strips[k]; // its image runs the other way, so that it still looks left
      strips.push_back(in_x ? Strip{twice - s.x1, s.y1, twice - s.x0, s.y0}
                            : Strip{s.x1, twice - s.y1, s.x0, twice - s.y0});
    }
  }
  return strips;
}

/// Of the zones and their images. `strips` as unfolded gives them.
ViewFactors factors_of(const Section& section, std::vector<Strip> strips) {
  if (!section.axis_distance) {
    return view_factors(strips);
  }
  for (Strip& strip : strips) {
    strip.y0 += *section.axis_distance;
    strip.y1 += *section.axis_distance;
  }
  return ring_view_factors(strips);
}

void add_factors(const Section& section, RadiantZones& zones) {
  const std::vector<Strip> strips = unfolded(section, zones, mirrors(section));
  const ViewFactors factors = factors_of(section, strips);
  zones.raw_reciprocity = factors.raw_reciprocity;
  zones.raw_closure = factors.raw_closure;
  // Exchange of rings is that of the whole turn.
  const double depth = section.axis_distance ? section.depth : 1.0;
  zones.start.push_back(0);
  for (int i = 0; i < zones.n(); ++i) {
    for (int j = 0; j < zones.n(); ++j) {
      double exchange = 0.0;
      for (int image = j; image < factors.n; image += zones.n()) {
        exchange += factors.at(i, image);
      }
      if (exchange != 0.0) {
        zones.seen.push_back(j);
        zones.factor.push_back(exchange / (zones.zones[index(i)].area * depth));
      }
    }
    zones.start.push_back(static_cast<int>(zones.seen.size()));
  }
}

} // namespace

bool radiates(const Section& section) {
  const auto emits = [](const Solid& solid) {
    return solid.emissivity > 0.0 ||
           std::any_of(solid.face_emissivity.begin(), solid.face_emissivity.end(),
                       [](const auto& of_face) { return of_face.value_or(0.0) > 0.0; });
  };
  return std::any_of(section.solids.begin(), section.solids.end(), emits) ||
         std::any_of(section.media.begin(), section.media.end(),
                     [](const FinMedium& medium) { return medium.emissivity > 0.0; }) ||
         std::any_of(section.sides.begin(), section.sides.end(),
                     [](const Side& side) { return is_wall(side.kind) && side.emissivity > 0.0; });
}

RadiantZones make_radiant_zones(const Section& section, const TensorMesh& mesh) {
  RadiantZones zones;
  if (!radiates(section)) {
    return zones;
  }
  const std::array<bool, 4> is_none = no_surfaces(section);
  const double length = chosen_length(section, mesh, is_none);
  zones.zone_of_x_face.assign(index((mesh.x.n() + 1) * mesh.y.n()), -1);
  zones.zone_of_y_face.assign(index(mesh.x.n() * (mesh.y.n() + 1)), -1);
  for (const bool normal_is_x : {true, false}) {
    const Faces faces{section, mesh, normal_is_x};
    std::vector<int>& zone_of = normal_is_x ? zones.zone_of_x_face : zones.zone_of_y_face;
    for_each_run(faces, is_none, [&](const Surface& surface, int a, int b0, int b1) {
      const std::vector<int> parts =
          faces.is_open(surface) ? std::vector<int>{b0, b1} : cuts(faces.tangent(), b0, b1, length);
      for (std::size_t k = 1; k < parts.size(); ++k) {
        for (int b = parts[k - 1]; b < parts[k]; ++b) {
          zone_of[index(faces.number(a, b))] = zones.n();
        }
        zones.zones.push_back(
            faces.zone(surface, faces.strip(a, parts[k - 1], parts[k], surface.looks_up)));
      }
    });
  }
  add_factors(section, zones);
  return zones;
}

} // namespace tiltfin

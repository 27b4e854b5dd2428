#include "solver/problem.hpp"

#include "mesh/index.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <stdexcept>
#include <utility>

namespace tiltfin {

namespace {

/// Conductivity along x or y of every cell, the calm room included: of the air in media.
std::vector<double> cell_conductivity(const Section& section, const Problem& problem,
                                      bool along_x) {
  std::vector<double> conductivity(index(problem.mesh.n_cells()));
  for (std::size_t c = 0; c < conductivity.size(); ++c) {
    const int region = problem.mesh.region[c];
    if (region == 0) {
      conductivity[c] = problem.air.conductivity * problem.calm_cell[c];
    } else {
      const Solid& solid = section.solids[index(region - 1)];
      conductivity[c] = along_x ? solid.conductivity_x : solid.conductivity_y;
    }
  }
  return conductivity;
}

/// Per volume [J/(m3 K)].
double stored_heat(Role role) {
  switch (role) {
  case Role::wall:
    return 7850.0 * 460.0;
  case Role::board:
    return 1850.0 * 1100.0;
  default:
    return 2700.0 * 900.0;
  }
}

double side_conductance(const Side& side, double area, double half_resistance) {
  switch (side.kind) {
  case SideKind::isothermal:
    return area / half_resistance;
  case SideKind::film:
    return side.film > 0.0 ? area / (1.0 / side.film + half_resistance) : 0.0;
  case SideKind::insulated:
  case SideKind::open:
  case SideKind::symmetry:
    return 0.0;
  }
  return 0.0;
}

/// Resistance of a contact between the solids of two regions [m2 K/W].
class Contacts {
public:
  explicit Contacts(const Section& section) {
    for (const Contact& contact : section.contacts) {
      const auto ordered = std::minmax({contact.solid_a + 1, contact.solid_b + 1});
      between_[{ordered.first, ordered.second}] += contact.resistance;
    }
  }
  [[nodiscard]] double between(int region_a, int region_b) const {
    if (region_a == region_b) {
      return 0.0;
    }
    const auto ordered = std::minmax(region_a, region_b);
    const auto found = between_.find({ordered.first, ordered.second});
    return found == between_.end() ? 0.0 : found->second;
  }

private:
  std::map<std::pair<int, int>, double> between_;
};

/// Shares of a face's area that belong to the air of the gaps and to the metal of the fins.
struct Shares {
  double air = 1.0;
  double metal = 0.0;
};

/// The two cells of a face as cells of one medium whose shares differ from ring to ring, as those
/// of spokes do in a body of revolution: in the middle between them (a second-order value).
std::optional<Shares> shares_of_spokes(const Problem& problem, int before, int after) {
  if (!problem.mesh.depth.varies() || before < 0 || after < 0) {
    return std::nullopt;
  }
  const int k = problem.medium_cell[index(before)];
  const int l = problem.medium_cell[index(after)];
  if (k < 0 || l < 0 || problem.media[index(k)].medium != problem.media[index(l)].medium) {
    return std::nullopt;
  }
  const double air = 0.5 * (problem.media[index(k)].porosity + problem.media[index(l)].porosity);
  return Shares{air, 1.0 - air};
}

/// Of the face between two cells (-1: none); where the shares of two media differ, the smaller.
Shares shares_between(const Problem& problem, int before, int after) {
  if (const auto spokes = shares_of_spokes(problem, before, after)) {
    return *spokes;
  }
  Shares shares;
  bool first = true;
  for (const int cell : {before, after}) {
    const int k = cell < 0 ? -1 : problem.medium_cell[index(cell)];
    if (k >= 0) {
      const double porosity = problem.media[index(k)].porosity;
      shares.air = std::min(shares.air, porosity);
      shares.metal = first ? 1.0 - porosity : std::min(shares.metal, 1.0 - porosity);
      first = false;
    }
  }
  return shares;
}

/// Conductivity that the fins' metal meets in a cell: its own, the solid's or that of clear air.
std::vector<double> metal_conductivity(const Section& section, const Problem& problem,
                                       const std::vector<double>& otherwise) {
  std::vector<double> conductivity = otherwise;
  for (const MediumCell& own : problem.media) {
    conductivity[index(own.cell)] = section.media[index(own.medium)].conductivity;
  }
  return conductivity;
}

void set_media(const Section& section, Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  problem.medium_cell.assign(index(mesh.n_cells()), -1);
  for (int c = 0; c < mesh.n_cells(); ++c) {
    const int k = mesh.medium_at(c) - 1;
    if (k < 0) {
      continue;
    }
    const FinMedium& medium = section.media[index(k)];
    problem.medium_cell[index(c)] = static_cast<int>(problem.media.size());
    MediumCell cell;
    cell.cell = c;
    cell.medium = k;
    cell.gap = medium.gap_at(mesh.y.centre(c / mesh.x.n()));
    cell.porosity = medium.porosity_at(mesh.y.centre(c / mesh.x.n()));
    cell.resistance = 12.0 / (cell.gap * cell.gap);
    cell.profile = medium.profile;
    cell.volume = mesh.volume(c);
    cell.wetted = 2.0 / (cell.gap + medium.fin_thickness) * cell.volume;
    problem.media.push_back(cell);
  }
}

void set_grilles(const Section& section, Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  if (section.grilles.empty()) {
    return;
  }
  problem.grille_x.assign(index((mesh.x.n() + 1) * mesh.y.n()), {});
  problem.grille_y.assign(index(mesh.x.n() * (mesh.y.n() + 1)), {});
  const auto add = [](GrilleLoss& loss, const Grille& grille) {
    loss.linear += grille.linear;
    loss.quadratic += grille.quadratic;
  };
  for (const Grille& grille : section.grilles) {
    const Rectangle& line = grille.line;
    if (line.width() == 0.0) {
      const int i = face_at(mesh.x, line.x0);
      for (int j = face_at(mesh.y, line.y0); j < face_at(mesh.y, line.y1); ++j) {
        add(problem.grille_x[index(problem.face_x(i, j))], grille);
      }
    } else {
      const int j = face_at(mesh.y, line.y0);
      for (int i = face_at(mesh.x, line.x0); i < face_at(mesh.x, line.x1); ++i) {
        add(problem.grille_y[index(problem.face_y(i, j))], grille);
      }
    }
  }
}

/// The two cells beside a face, -1 outside the section, with their widths along its normal.
struct FaceCells {
  std::array<int, 2> cell{-1, -1}; ///< before, after
  std::array<double, 2> width{};   ///< [m]
};

/// `i`, `j`: the face's place among the x-faces (along_x) or the y-faces.
FaceCells cells_beside(const TensorMesh& mesh, bool along_x, int i, int j) {
  const Axis& along = along_x ? mesh.x : mesh.y;
  FaceCells beside;
  for (const int k : {0, 1}) {
    const int place = (along_x ? i : j) - 1 + k;
    if (place >= 0 && place < along.n()) {
      beside.cell[index(k)] = along_x ? mesh.cell(place, j) : mesh.cell(i, place);
      beside.width[index(k)] = along.width(place);
    }
  }
  return beside;
}

double face_conductance(const Problem& problem, const Contacts& contacts,
                        const std::vector<double>& k, const FaceCells& beside, double area,
                        bool along_x) {
  const auto half = [&](std::size_t side) {
    return 0.5 * beside.width[side] / k[index(beside.cell[side])];
  };
  if (beside.cell[0] < 0) {
    return side_conductance(problem.sides[along_x ? west : south], area, half(1));
  }
  if (beside.cell[1] < 0) {
    return side_conductance(problem.sides[along_x ? east : north], area, half(0));
  }
  const auto region = [&](std::size_t side) {
    return problem.mesh.region[index(beside.cell[side])];
  };
  return area / (half(0) + contacts.between(region(0), region(1)) + half(1));
}

/// Of all x-faces (along_x) or y-faces, of the metal of fins or of what else is there.
std::vector<double> conductances(const Problem& problem, const Contacts& contacts,
                                 const std::vector<double>& k, bool along_x, bool metal) {
  const TensorMesh& mesh = problem.mesh;
  const int nx = mesh.x.n() + (along_x ? 1 : 0);
  const int ny = mesh.y.n() + (along_x ? 0 : 1);
  std::vector<double> all;
  all.reserve(index(nx * ny));
  for (int j = 0; j < ny; ++j) {
    for (int i = 0; i < nx; ++i) {
      const FaceCells beside = cells_beside(mesh, along_x, i, j);
      const Shares shares = shares_between(problem, beside.cell[0], beside.cell[1]);
      const double whole = along_x ? mesh.x_face_area(j) : mesh.y_face_area(i, j);
      const double area = whole * (metal ? shares.metal : shares.air);
      all.push_back(face_conductance(problem, contacts, k, beside, area, along_x));
    }
  }
  return all;
}

void set_conductances(const Section& section, Problem& problem) {
  const Contacts contacts(section);
  const auto kx = cell_conductivity(section, problem, true);
  const auto ky = cell_conductivity(section, problem, false);
  problem.conductance_x = conductances(problem, contacts, kx, true, false);
  problem.conductance_y = conductances(problem, contacts, ky, false, false);
  if (!problem.media.empty()) {
    problem.fin_conductance_x =
        conductances(problem, contacts, metal_conductivity(section, problem, kx), true, true);
    problem.fin_conductance_y =
        conductances(problem, contacts, metal_conductivity(section, problem, ky), false, true);
  }
}

void set_heat(const Section& section, double power, Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  problem.heat.assign(index(mesh.n_cells()), 0.0);
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const int cell = mesh.cell(i, j);
      const double volume = mesh.volume(i, j);
      const auto release = [&](const Rectangle& extent, double heat) {
        const double depth = mesh.depth.at(0.5 * (extent.y0 + extent.y1)); // its mean: it is linear
        problem.heat[index(cell)] =
            heat / section.depth * volume / (extent.width() * extent.height() * depth);
      };
      if (mesh.region[index(cell)] > 0) {
        const Solid& solid = section.solids[index(mesh.region[index(cell)] - 1)];
        release(solid.extent, power * solid.heat_share + solid.power);
      } else if (mesh.medium_at(cell) > 0) {
        const FinMedium& medium = section.media[index(mesh.medium_at(cell) - 1)];
        release(medium.extent, power * medium.heat_share);
      }
    }
  }
}

/// The face of an outer side.
void set_side(const Section& section, SideName name, RadiantFace& face) {
  const Side& side = section.sides[name];
  face.outside = side.temperature;
  face.is_fixed = side.kind == SideKind::isothermal || side.kind == SideKind::open;
  face.behind = side.kind == SideKind::film ? face.area * side.film : 0.0;
}

void add_radiant_face(const Section& section, const std::vector<double>& conductivity, int zone,
                      RadiantFace face, const std::array<double, 2>& widths, Problem& problem) {
  const RadiantZone& own = problem.radiation->zones[index(zone)];
  if (own.emissivity == 0.0) {
    return; // it reflects all: the zone's radiosity is its irradiation
  }
  const auto half = [&](std::size_t k) {
    return face.area * conductivity[index(face.cell[k])] / (0.5 * widths[k]);
  };
  face.zone = zone;
  face.emissivity = own.emissivity;
  face.front = half(1);
  if (own.is_side()) {
    set_side(section, own.side, face);
  } else {
    face.behind = half(0);
  }
  if (own.medium >= 0) { // its metal conducts
    face.medium = problem.medium_cell[index(face.cell[0])];
    const double metal = 1.0 - problem.media[index(face.medium)].porosity;
    face.behind *= metal;
    face.front *= metal;
  }
  problem.radiant_faces.push_back(face);
}

/// Those among the x-faces (along_x) or the y-faces.
void add_radiant_faces(const Section& section, bool along_x, Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  const RadiantZones& zones = *problem.radiation;
  const std::vector<int>& zone_of = along_x ? zones.zone_of_x_face : zones.zone_of_y_face;
  const auto conductivity =
      metal_conductivity(section, problem, cell_conductivity(section, problem, along_x));
  const int nx = mesh.x.n() + (along_x ? 1 : 0);
  const int ny = mesh.y.n() + (along_x ? 0 : 1);
  for (int j = 0; j < ny; ++j) {
    for (int i = 0; i < nx; ++i) {
      const int zone = zone_of[index(along_x ? problem.face_x(i, j) : problem.face_y(i, j))];
      if (zone < 0) {
        continue;
      }
      // First what is behind the surface, then clear air; -1 is outside.
      auto [cell, width] = cells_beside(mesh, along_x, i, j);
      if (cell[1] < 0 || (cell[0] >= 0 && mesh.is_clear(cell[0]))) {
        std::swap(cell[0], cell[1]);
        std::swap(width[0], width[1]);
      }
      const double area = along_x ? mesh.x_face_area(j) : mesh.y_face_area(i, j);
      add_radiant_face(section, conductivity, zone, {.cell = cell, .area = area}, width, problem);
    }
  }
}

void set_radiant_faces(const Section& section, Problem& problem) {
  if (problem.radiation->n() > 0) {
    add_radiant_faces(section, true, problem);
    add_radiant_faces(section, false, problem);
  }
}

double outside_distance(const Rectangle& outline, double x, double y) {
  const double dx = std::max({outline.x0 - x, 0.0, x - outline.x1});
  const double dy = std::max({outline.y0 - y, 0.0, y - outline.y1});
  return std::hypot(dx, dy);
}

double calm_factor(const CalmRoom& calm, double distance) {
  const double s = std::clamp((distance - calm.start) / calm.width, 0.0, 1.0);
  return 1.0 + (calm.factor - 1.0) * s * s * (3.0 - 2.0 * s);
}

void set_calm(const Section& section, const CalmRoom& calm, Problem& problem) {
  const TensorMesh& mesh = problem.mesh;
  problem.calm_cell.assign(index(mesh.n_cells()), 1.0);
  problem.calm_node.assign(index(mesh.n_nodes()), 1.0);
  if (!section.machine || calm.factor == 1.0) {
    return;
  }
  const auto factor = [&](double x, double y) {
    return calm_factor(calm, outside_distance(*section.machine, x, y));
  };
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      problem.calm_node[index(mesh.node(i, j))] = factor(mesh.x.at(i), mesh.y.at(j));
      if (i < mesh.x.n() && j < mesh.y.n()) {
        problem.calm_cell[index(mesh.cell(i, j))] = factor(mesh.x.centre(i), mesh.y.centre(j));
      }
    }
  }
}

void fill_patch(const TensorMesh& mesh, int solid, const Rectangle& patch, std::vector<int>& cells,
                std::vector<double>& weights) {
  double total = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      // Overlap of the cell with the patch: the patch's volume does not depend on the mesh.
      const double wide = std::min(patch.x1, mesh.x.at(i + 1)) - std::max(patch.x0, mesh.x.at(i));
      const double high = std::min(patch.y1, mesh.y.at(j + 1)) - std::max(patch.y0, mesh.y.at(j));
      const bool inside = wide > 0.0 && high > 0.0;
      if (inside && mesh.region[index(mesh.cell(i, j))] == solid + 1) {
        cells.push_back(mesh.cell(i, j));
        const double middle =
            0.5 * (std::min(patch.y1, mesh.y.at(j + 1)) + std::max(patch.y0, mesh.y.at(j)));
        const double volume = wide * high * mesh.depth.at(middle);
        weights.push_back(volume);
        total += volume;
      }
    }
  }
  for (double& weight : weights) {
    weight /= total;
  }
}

} // namespace

Problem make_problem(const Section& section, const TensorMesh& mesh, const Condition& condition,
                     const AirProperties& air, const CalmRoom& calm,
                     std::shared_ptr<const RadiantZones> zones) {
  if (section.axis_distance &&
      std::abs(condition.gravity_y) > 1e-9 * std::abs(condition.gravity_x)) {
    throw std::invalid_argument("Gravity must lie along the axis of a body of revolution.");
  }
  Problem problem;
  problem.mesh = mesh;
  problem.air = air;
  problem.gravity_x = condition.gravity_x;
  problem.gravity_y = condition.gravity_y;
  problem.sides = section.sides;
  set_media(section, problem);
  set_grilles(section, problem);
  set_calm(section, calm, problem);
  set_conductances(section, problem);
  set_heat(section, condition.power, problem);
  problem.radiation = zones != nullptr
                          ? std::move(zones)
                          : std::make_shared<const RadiantZones>(make_radiant_zones(section, mesh));
  set_radiant_faces(section, problem);
  for (const Link& link : section.links) {
    LinkCells cells;
    fill_patch(mesh, link.solid_a, link.patch_a, cells.cells_a, cells.weights_a);
    fill_patch(mesh, link.solid_b, link.patch_b, cells.cells_b, cells.weights_b);
    cells.conductance = link.conductance;
    problem.links.push_back(std::move(cells));
  }
  return problem;
}

void set_metal_capacity(const Section& section, Problem& problem) {
  problem.metal_capacity.resize(index(problem.mesh.n_cells()));
  for (std::size_t c = 0; c < problem.metal_capacity.size(); ++c) {
    const int region = problem.mesh.region[c];
    const Role role = region == 0 ? Role::fin : section.solids[index(region - 1)].role;
    problem.metal_capacity[c] = stored_heat(role);
  }
}

} // namespace tiltfin

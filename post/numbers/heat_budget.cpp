#include "post/numbers/heat_budget.hpp"

#include "mesh/index.hpp"
#include "post/numbers/balances.hpp"
#include "post/numbers/error_estimate.hpp"
#include "post/numbers/surface_heat.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace tiltfin {
namespace {

/// A row on one mesh [W/m].
struct HeatFlows {
  HeatAccount account = HeatAccount::parts;
  std::string part;
  std::string group{}; // NOLINT(readability-redundant-member-init): may be left out
  double released = 0.0;
  double convection = 0.0;
  double radiation = 0.0;
  double conduction = 0.0;
  double unaccounted = 0.0; ///< of the last row of an account

  [[nodiscard]] double heat() const { return convection + radiation + conduction + unaccounted; }
};

/// Everything a budget is made of.
struct BudgetData {
  const Section& section;
  const Problem& problem;
  const State& state;
  double room_temperature = 0.0;
  std::vector<SurfaceHeat> surfaces;
  std::vector<ContactHeat> contacts;
};

bool is_in_machine(const Section& section, const Rectangle& extent) {
  return !section.machine ||
         section.machine->contains(0.5 * (extent.x0 + extent.x1), 0.5 * (extent.y0 + extent.y1));
}

bool is_in_machine(const Section& section, const Body& body) {
  switch (body.kind) {
  case BodyKind::solid:
    return is_in_machine(section, section.solids[index(body.number)].extent);
  case BodyKind::medium:
    return is_in_machine(section, section.media[index(body.number)].extent);
  case BodyKind::side:
    break;
  }
  return false;
}

/// Solids, media and those sides that are walls, in this order, nothing in them yet.
std::vector<HeatFlows> empty_parts(const Section& section) {
  std::vector<HeatFlows> rows;
  const auto add = [&](const std::string& name, const Rectangle& extent, const char* group) {
    rows.push_back({.account = HeatAccount::parts,
                    .part = name,
                    .group = is_in_machine(section, extent) ? group : "room"});
  };
  for (const Solid& solid : section.solids) {
    add(solid.name, solid.extent, name(solid.role));
  }
  for (const FinMedium& medium : section.media) {
    add(medium.name, medium.extent, name(Role::fin));
  }
  for (const SideName side : {west, east, south, north}) {
    rows.push_back({.account = HeatAccount::parts, .part = side_names[side], .group = "side"});
  }
  return rows;
}

std::size_t row_of(const Section& section, const Body& body) {
  const std::size_t before =
      body.kind == BodyKind::solid
          ? 0
          : section.solids.size() + (body.kind == BodyKind::side ? section.media.size() : 0);
  return before + index(body.number);
}

void add_released(const BudgetData& data, std::vector<HeatFlows>& rows) {
  const TensorMesh& mesh = data.problem.mesh;
  for (int c = 0; c < mesh.n_cells(); ++c) {
    const double heat = data.problem.heat[index(c)];
    if (mesh.region[index(c)] > 0) {
      rows[index(mesh.region[index(c)] - 1)].released += heat;
    } else if (mesh.medium_at(c) > 0) {
      rows[data.section.solids.size() + index(mesh.medium_at(c) - 1)].released += heat;
    }
  }
}

std::vector<HeatFlows> parts_account(const BudgetData& data) {
  std::vector<HeatFlows> rows = empty_parts(data.section);
  add_released(data, rows);
  for (const SurfaceHeat& piece : data.surfaces) {
    HeatFlows& row = rows[row_of(data.section, piece.from)];
    row.convection += piece.convection;
    row.radiation += piece.radiation;
    if (piece.from.kind == BodyKind::side) { // a wall passes on what it takes up
      row.conduction -= piece.convection + piece.radiation;
    }
  }
  for (const ContactHeat& contact : data.contacts) {
    if (contact.to.kind == BodyKind::side) {
      rows[row_of(data.section, contact.from)].conduction += contact.heat;
    } else if (contact.from.kind == BodyKind::side) {
      rows[row_of(data.section, contact.to)].conduction -= contact.heat;
    }
  }
  std::erase_if(rows, [&](const HeatFlows& row) {
    const auto side = std::ranges::find(side_names, row.part);
    return row.group == "side" &&
           !is_wall(data.section.sides[index(static_cast<int>(side - side_names.begin()))].kind);
  });
  return rows;
}

std::vector<HeatFlows> groups_account(const std::vector<HeatFlows>& parts) {
  std::vector<HeatFlows> rows;
  for (const HeatFlows& part : parts) {
    auto row = std::ranges::find(rows, part.group, &HeatFlows::group);
    if (row == rows.end()) {
      rows.push_back({.account = HeatAccount::groups, .part = part.group, .group = part.group});
      row = rows.end() - 1;
    }
    row->released += part.released;
    row->convection += part.convection;
    row->radiation += part.radiation;
    row->conduction += part.conduction;
  }
  return rows;
}

/// Farther from an opening than this share of the machine's longer side, the outline is not its.
constexpr double opening_reach = 0.05;

double distance_to(const Rectangle& line, double x, double y) {
  return std::hypot(std::max({line.x0 - x, 0.0, x - line.x1}),
                    std::max({line.y0 - y, 0.0, y - line.y1}));
}

/// The opening that a place of the outline belongs to; their number where it is none's.
std::size_t opening_at(const Section& section, double x, double y) {
  std::size_t nearest = section.openings.size();
  double distance = opening_reach * std::max(section.machine->width(), section.machine->height());
  for (std::size_t k = 0; k < section.openings.size(); ++k) {
    const double to_line = distance_to(section.openings[k].line, x, y);
    if (to_line <= distance) {
      nearest = k;
      distance = to_line;
    }
  }
  return nearest;
}

/// Heat of the air that leaves the machine's outline, by opening and elsewhere.
class CarriedOut {
public:
  explicit CarriedOut(const BudgetData& data)
      : data_(data), heat_(data.section.openings.size() + 1, 0.0) {
    const TensorMesh& mesh = data.problem.mesh;
    for (int j = 0; j <= mesh.y.n(); ++j) {
      for (int i = 0; i <= mesh.x.n(); ++i) {
        if (j < mesh.y.n() && is_crossing({i - 1, j}, {i, j}, i == 0 ? west : east)) {
          add(mesh.x.at(i), mesh.y.centre(j), is_inside({i - 1, j}),
              air_heat_through_x_face(data.problem, data.state, i, j, data.room_temperature));
        }
        if (i < mesh.x.n() && is_crossing({i, j - 1}, {i, j}, j == 0 ? south : north)) {
          add(mesh.x.centre(i), mesh.y.at(j), is_inside({i, j - 1}),
              air_heat_through_y_face(data.problem, data.state, i, j, data.room_temperature));
        }
      }
    }
  }
  [[nodiscard]] const std::vector<double>& heat() const { return heat_; }

private:
  using Place = std::array<int, 2>; ///< i, j of a cell, perhaps beyond the mesh

  [[nodiscard]] bool is_on_mesh(const Place& place) const {
    const TensorMesh& mesh = data_.problem.mesh;
    return place[0] >= 0 && place[1] >= 0 && place[0] < mesh.x.n() && place[1] < mesh.y.n();
  }
  [[nodiscard]] bool is_inside(const Place& place) const {
    const TensorMesh& mesh = data_.problem.mesh;
    return is_on_mesh(place) &&
           data_.section.machine->contains(mesh.x.centre(place[0]), mesh.y.centre(place[1]));
  }
  /// Air on both sides, of which one is the machine's; beyond the mesh, where the side is open.
  [[nodiscard]] bool is_crossing(const Place& before, const Place& after, SideName side) const {
    const auto is_air = [&](const Place& place) {
      return is_on_mesh(place) ? data_.problem.mesh.is_air(place[0], place[1])
                               : !is_wall(data_.problem.sides[side].kind);
    };
    return is_inside(before) != is_inside(after) && is_air(before) && is_air(after);
  }
  void add(double x, double y, bool leaves_after, double flux) {
    heat_[opening_at(data_.section, x, y)] += leaves_after ? flux : -flux;
  }

  const BudgetData& data_;
  std::vector<double> heat_;
};

/// Heat that the machine passes on to what touches it, by contact and by links.
double conducted_out(const BudgetData& data) {
  const Section& section = data.section;
  double heat = 0.0;
  const auto add = [&](const Body& from, const Body& to, double flow) {
    const bool starts_inside = is_in_machine(section, from);
    if (starts_inside != is_in_machine(section, to)) {
      heat += starts_inside ? flow : -flow;
    }
  };
  for (const ContactHeat& contact : data.contacts) {
    add(contact.from, contact.to, contact.heat);
  }
  for (std::size_t k = 0; k < section.links.size(); ++k) {
    add({BodyKind::solid, section.links[k].solid_a}, {BodyKind::solid, section.links[k].solid_b},
        data.state.link_heat[k]);
  }
  return heat;
}

/// What crosses the machine's outline. Surfaces of the machine that have air of the room in front
/// are its outer ones; radiation of all others leaves through openings.
std::vector<HeatFlows> machine_account(const BudgetData& data,
                                       const std::vector<HeatFlows>& parts) {
  const TensorMesh& mesh = data.problem.mesh;
  HeatFlows outer{.account = HeatAccount::machine, .part = "outer surfaces"};
  HeatFlows sight{.account = HeatAccount::machine, .part = "radiation through openings"};
  HeatFlows contact{.account = HeatAccount::machine, .part = "contact"};
  for (const SurfaceHeat& piece : data.surfaces) {
    const bool is_own = is_in_machine(data.section, piece.from);
    const bool faces_inside = data.section.machine->contains(mesh.x.centre(piece.air % mesh.x.n()),
                                                             mesh.y.centre(piece.air / mesh.x.n()));
    if (is_own && faces_inside) {
      sight.radiation += piece.radiation;
    } else if (is_own) {
      outer.convection += piece.convection;
      outer.radiation += piece.radiation;
    } else if (faces_inside) { // a body of the room that looks into the machine's air
      contact.convection -= piece.convection;
    }
  }
  contact.conduction = conducted_out(data);
  for (const HeatFlows& part : parts) {
    if (part.group != "room" && part.group != "side") {
      outer.released += part.released;
    }
  }
  std::vector<HeatFlows> rows{outer, sight};
  const CarriedOut through_air(data);
  const std::vector<double>& carried = through_air.heat();
  for (std::size_t k = 0; k < carried.size(); ++k) {
    const bool is_opening = k < data.section.openings.size();
    rows.push_back({.account = HeatAccount::machine,
                    .part = is_opening ? data.section.openings[k].name : "elsewhere",
                    .convection = carried[k]});
  }
  rows.push_back(contact);
  return rows;
}

/// Through an open side with the air and by radiation; all that passes a wall is conduction.
std::vector<HeatFlows> section_account(const BudgetData& data) {
  const std::array<double, 4> heat = side_heat(data.problem, data.state);
  const SurfaceRadiation radiation = surface_radiation(data.section, data.problem, data.state);
  std::vector<HeatFlows> rows;
  for (const SideName side : {west, east, south, north}) {
    HeatFlows row{.account = HeatAccount::section, .part = side_names[side]};
    if (is_wall(data.section.sides[side].kind)) {
      row.conduction = heat[side];
    } else {
      row.radiation = radiation.sides[side];
      row.convection = heat[side] - row.radiation;
    }
    rows.push_back(row);
  }
  return rows;
}

/// The account with its last row.
void close_account(double released, std::vector<HeatFlows> rows, std::vector<HeatFlows>& all) {
  if (rows.empty()) {
    return;
  }
  HeatFlows rest{.account = rows.front().account, .part = "not closed", .unaccounted = released};
  for (const HeatFlows& row : rows) {
    rest.unaccounted -= row.heat();
  }
  rows.push_back(rest);
  all.insert(all.end(), rows.begin(), rows.end());
}

std::vector<HeatFlows> heat_flows(const Section& section, const Problem& problem,
                                  const State& state, double room_temperature) {
  const BudgetData data{section,
                        problem,
                        state,
                        room_temperature,
                        surface_heat(problem, state),
                        contact_heat(problem, state)};
  double released = 0.0;
  for (const double heat : problem.heat) {
    released += heat;
  }
  const std::vector<HeatFlows> parts = parts_account(data);
  std::vector<HeatFlows> all;
  close_account(released, parts, all);
  close_account(released, groups_account(parts), all);
  if (section.machine) {
    std::vector<HeatFlows> rows = machine_account(data, parts);
    const double own = rows.front().released;
    rows.front().released = 0.0;
    close_account(own, std::move(rows), all);
  }
  close_account(released, section_account(data), all);
  return all;
}

} // namespace

const char* name(HeatAccount account) {
  switch (account) {
  case HeatAccount::parts:
    return "parts";
  case HeatAccount::groups:
    return "groups";
  case HeatAccount::machine:
    return "machine";
  case HeatAccount::section:
    break;
  }
  return "section";
}

std::vector<HeatRow> heat_budget(const Section& section, const Solution& solution,
                                 double room_temperature) {
  const std::vector<HeatFlows> fine =
      heat_flows(section, solution.problem, solution.state, room_temperature);
  std::vector<HeatFlows> coarse; // follows the section as `fine` does: they match one to one
  if (solution.coarse_problem && solution.coarse_state) {
    coarse =
        heat_flows(section, *solution.coarse_problem, *solution.coarse_state, room_temperature);
  }
  const MeshPair pair = mesh_pair(solution);
  double released = 0.0;
  for (const double heat : solution.problem.heat) {
    released += heat * section.depth;
  }
  std::vector<HeatRow> rows;
  for (std::size_t k = 0; k < fine.size(); ++k) {
    const auto in_watts = [&](const auto& of) -> Estimate {
      const double value = of(fine[k]) * section.depth;
      const double other = coarse.empty() ? nan : of(coarse[k]) * section.depth;
      return {value, discretisation_error(value, other, pair)};
    };
    HeatRow row;
    row.account = fine[k].account;
    row.part = fine[k].part;
    row.group = fine[k].group;
    row.released_w = fine[k].released * section.depth;
    row.convection_w = in_watts([](const HeatFlows& flows) { return flows.convection; });
    row.radiation_w = in_watts([](const HeatFlows& flows) { return flows.radiation; });
    row.conduction_w = in_watts([](const HeatFlows& flows) { return flows.conduction; });
    row.heat_w = in_watts([](const HeatFlows& flows) { return flows.heat(); });
    const double to_percent = released > 0.0 ? 100.0 / released : nan;
    row.share_percent = {row.heat_w.value * to_percent, row.heat_w.error * to_percent};
    rows.push_back(row);
  }
  return rows;
}

} // namespace tiltfin

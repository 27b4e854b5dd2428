#include "solver/assembly.hpp"

#include "mesh/index.hpp"
#include "solver/equations.hpp"

#include <algorithm>
#include <numeric>
#include <type_traits>
#include <utility>

namespace tiltfin {

namespace {

/// The number type's view of one local unknown.
template <class Number>
Number seed(double value, int k) {
  if constexpr (std::is_same_v<Number, double>) {
    (void)k;
    return value;
  } else {
    return Number::unknown(value, k);
  }
}

double at(const std::vector<double>& z, int k) {
  return k < 0 ? 0.0 : z[index(k)];
}

/// Receives the value of a row and its derivatives by local unknowns. `Sink` is one of the three
/// below; columns of -1 have no unknown.
template <class Sink, class Number, std::size_t N>
void scatter(Sink& sink, int row, double factor, const Number& term,
             const std::array<int, N>& columns) {
  if (row < 0) {
    return;
  }
  sink.add(row, factor * value_of(term));
  if constexpr (!std::is_same_v<Number, double>) {
    for (std::size_t k = 0; k < N; ++k) {
      if (columns[k] >= 0) {
        sink.add_slope(row, columns[k], factor * term.slope[k]);
      }
    }
  }
}

struct ResidualSink {
  std::vector<double>& f;
  void add(int row, double value) { f[index(row)] += value; }
};

struct Entry {
  int row = 0;
  int column = 0;
};

struct PatternSink {
  std::vector<Entry> entries;
  void add(int /*row*/, double /*value*/) {}
  void add_slope(int row, int column, double /*value*/) { entries.push_back({row, column}); }
};

struct JacobianSink {
  std::vector<double>& f;
  Jacobian& jacobian;
  std::size_t next = 0;
  void add(int row, double value) { f[index(row)] += value; }
  void add_slope(int /*row*/, int /*column*/, double value) {
    jacobian.matrix.value[index(jacobian.slot[next++])] += value;
  }
};

template <bool WithSlopes, class Sink>
struct Assembler {
  /// A term of so many unknowns: with its derivative by each of them, or its value alone.
  template <int N>
  using Number = std::conditional_t<WithSlopes, Dual<N>, double>;

  const Problem& problem;
  const Unknowns& unknowns;
  const std::vector<double>& z;
  const TimeTerm& time;
  Sink& sink;

  [[nodiscard]] int psi_row(int node) const { return node < 0 ? -1 : unknowns.psi[index(node)]; }
  [[nodiscard]] int temperature_row(int cell) const {
    return cell < 0 ? -1 : unknowns.temperature[index(cell)];
  }

  void momentum(const MomentumFace& face) {
    std::array<int, 10> columns{};
    for (std::size_t k = 0; k < 8; ++k) {
      columns[k] = psi_row(face.node[k]);
    }
    if (columns[0] == columns[1]) {
      return; // both nodes on one island: no air flows here
    }
    columns[8] = temperature_row(face.cell[0]);
    columns[9] = temperature_row(face.cell[1]);
    std::array<Number<10>, 10> local;
    for (std::size_t k = 0; k < 10; ++k) {
      local[k] = seed<Number<10>>(at(z, columns[k]), static_cast<int>(k));
    }
    Number<10> term = face_momentum(face, problem.air, problem.blend_peclet, local);
    if (time.rate > 0.0) {
      const double gap_path = 0.5 * (face.before / face.half[0].porosity +
                                     face.after / face.half[1].porosity); // u = flow / porosity
      const double old_flow =
          time.history.empty() ? 0.0 : at(time.history, columns[1]) - at(time.history, columns[0]);
      const Number<10> change = (local[1] - local[0]) * time.rate - old_flow;
      term += change * (problem.air.density * gap_path * face.sign / face.area());
    }
    scatter(sink, columns[1], face.sign, term, columns);
    scatter(sink, columns[0], -face.sign, term, columns);
  }

  void heat(const HeatFace& face) {
    const std::array<int, 4> columns{psi_row(face.node[0]), psi_row(face.node[1]),
                                     temperature_row(face.cell[0]), temperature_row(face.cell[1])};
    std::array<Number<4>, 4> local;
    for (std::size_t k = 0; k < 4; ++k) {
      local[k] = seed<Number<4>>(at(z, columns[k]), static_cast<int>(k));
    }
    const Number<4> term = face_heat(face, problem.air, problem.heat_peclet, local);
    scatter(sink, columns[2], 1.0, term, columns);
    scatter(sink, columns[3], -1.0, term, columns);
    if (face.medium[0] >= 0 || face.medium[1] >= 0) {
      fins(face);
      age(face);
    }
  }

  /// Row of the fins of a medium cell, or of the solid or clear air there instead.
  [[nodiscard]] int metal_row(const HeatFace& face, std::size_t side) const {
    const int medium = face.medium[side];
    return medium >= 0 ? unknowns.fin_temperature[index(medium)] : temperature_row(face.cell[side]);
  }

  void fins(const HeatFace& face) {
    const std::array<int, 2> columns{metal_row(face, 0), metal_row(face, 1)};
    const auto local = [&](int k) {
      const int column = columns[index(k)];
      return column < 0 ? Number<2>(face.outside) : seed<Number<2>>(z[index(column)], k);
    };
    const Number<2> term = fin_conduction(face, local(0), local(1));
    scatter(sink, columns[0], 1.0, term, columns);
    scatter(sink, columns[1], -1.0, term, columns);
  }

  void age(const HeatFace& face) {
    const auto row = [&](std::size_t side) {
      const int medium = face.medium[side];
      return medium < 0 ? -1 : unknowns.air_age[index(medium)];
    };
    const std::array<int, 4> columns{psi_row(face.node[0]), psi_row(face.node[1]), row(0), row(1)};
    std::array<Number<4>, 4> local;
    for (std::size_t k = 0; k < 4; ++k) {
      local[k] = seed<Number<4>>(at(z, columns[k]), static_cast<int>(k));
    }
    const Number<4> term = face_age(face, problem.air, problem.blend_peclet, local);
    scatter(sink, columns[2], 1.0, term, columns);
    scatter(sink, columns[3], -1.0, term, columns);
  }

  /// Time term and release of an unknown that stands alone in its row.
  void store(int row, double capacity, double release) {
    const double old = time.history.empty() ? 0.0 : time.history[index(row)];
    const std::array<int, 1> column{row};
    Number<1> term = seed<Number<1>>(z[index(row)], 0) * (time.rate * capacity);
    term += -(release + capacity * old);
    scatter(sink, row, 1.0, term, column);
  }

  void cell(int i, int j) {
    const TensorMesh& mesh = problem.mesh;
    const int cell = mesh.cell(i, j);
    const double volume = mesh.volume(i, j);
    const double capacity = problem.air.density * problem.air.heat_capacity * volume;
    const double metal_capacity =
        problem.metal_capacity.empty() ? capacity : problem.metal_capacity[index(cell)] * volume;
    const int medium = problem.medium_cell[index(cell)];
    if (medium < 0) {
      const bool is_air = mesh.region[index(cell)] == 0;
      store(temperature_row(cell), is_air ? capacity : metal_capacity, problem.heat[index(cell)]);
      return;
    }
    const MediumCell& own = problem.media[index(medium)];
    const std::array<int, 3> columns{temperature_row(cell), unknowns.fin_temperature[index(medium)],
                                     unknowns.air_age[index(medium)]};
    store(columns[0], own.porosity * capacity, 0.0);
    store(columns[1], (1.0 - own.porosity) * metal_capacity, problem.heat[index(cell)]);
    store(columns[2], own.porosity * own.volume, 0.0);
    std::array<Number<3>, 3> local;
    for (std::size_t k = 0; k < 3; ++k) {
      local[k] = seed<Number<3>>(z[index(columns[k])], static_cast<int>(k));
    }
    const Number<3> heat = fin_exchange(own, problem.air, local[0], local[1], local[2]);
    scatter(sink, columns[0], -1.0, heat, columns);
    scatter(sink, columns[1], 1.0, heat, columns);
    scatter(sink, columns[2], -1.0, ageing(own, problem.air, local[2]), columns);
  }

  void link(const LinkCells& cells, int row) {
    const std::array<int, 1> own{row};
    Number<1> drop = seed<Number<1>>(z[index(row)], 0) * (1.0 / cells.conductance);
    scatter(sink, row, 1.0, drop, own);
    const auto patch = [&](const std::vector<int>& members, const std::vector<double>& weights,
                           double sign) {
      for (std::size_t k = 0; k < members.size(); ++k) {
        const int other = temperature_row(members[k]);
        const Number<1> mean = seed<Number<1>>(z[index(other)], 0) * (-sign * weights[k]);
        scatter(sink, row, 1.0, mean, std::array<int, 1>{other});
        const Number<1> flow = seed<Number<1>>(z[index(row)], 0) * (sign * weights[k]);
        scatter(sink, other, 1.0, flow, own);
      }
    };
    patch(cells.cells_a, cells.weights_a, 1.0);
    patch(cells.cells_b, cells.weights_b, -1.0);
  }

  /// A face's radiation: out of the two cells beside it, and into the radiosity of its zone.
  void radiant_face(const RadiantFace& face) {
    const auto zone = index(face.zone);
    const int behind = face.medium < 0 ? temperature_row(face.cell[0])
                                       : unknowns.fin_temperature[index(face.medium)];
    const std::array<int, 3> columns{face.is_fixed ? -1 : behind,
                                     face.is_fixed ? -1 : temperature_row(face.cell[1]),
                                     unknowns.irradiation[zone]};
    std::array<Number<3>, 3> local;
    for (std::size_t k = 0; k < 3; ++k) {
      local[k] = seed<Number<3>>(at(z, columns[k]), static_cast<int>(k));
    }
    const Number<3> emitted = emission(face, local);
    const Number<3> heat = (emitted - local[2] * face.emissivity) * face.area;
    scatter(sink, columns[0], face.share_behind(), heat, columns);
    scatter(sink, columns[1], 1.0 - face.share_behind(), heat, columns);
    const double share = face.area / problem.radiation->zones[zone].area;
    scatter(sink, unknowns.radiosity[zone], -share, emitted, columns);
  }

  /// radiosity = emission (see radiant_face) + (1 - emissivity) irradiation;
  /// irradiation = sum of view factor times radiosity over the zones seen.
  void radiant_zone(int k) {
    const RadiantZones& zones = *problem.radiation;
    const auto zone = index(k);
    const auto add = [&](int row, double factor, int column) {
      scatter(sink, row, factor, seed<Number<1>>(z[index(column)], 0), std::array<int, 1>{column});
    };
    const int radiosity = unknowns.radiosity[zone];
    const int irradiation = unknowns.irradiation[zone];
    add(radiosity, 1.0, radiosity);
    add(radiosity, zones.zones[zone].emissivity - 1.0, irradiation);
    add(irradiation, 1.0, irradiation);
    for (int e = zones.start[zone]; e < zones.start[zone + 1]; ++e) {
      add(irradiation, -zones.factor[index(e)], unknowns.radiosity[index(zones.seen[index(e)])]);
    }
  }

  void all() {
    const int nx = problem.mesh.x.n();
    const int ny = problem.mesh.y.n();
    for (int j = 0; j < ny; ++j) {
      for (int i = 0; i <= nx; ++i) {
        momentum(momentum_face_x(problem, unknowns, i, j));
        heat(heat_face_x(problem, i, j));
      }
    }
    for (int j = 0; j <= ny; ++j) {
      for (int i = 0; i < nx; ++i) {
        momentum(momentum_face_y(problem, unknowns, i, j));
        heat(heat_face_y(problem, i, j));
      }
    }
    for (int j = 0; j < ny; ++j) {
      for (int i = 0; i < nx; ++i) {
        cell(i, j);
      }
    }
    for (std::size_t k = 0; k < problem.links.size(); ++k) {
      link(problem.links[k], unknowns.link[k]);
    }
    for (const RadiantFace& face : problem.radiant_faces) {
      radiant_face(face);
    }
    for (int k = 0; k < problem.radiation->n(); ++k) {
      radiant_zone(k);
    }
  }
};

} // namespace

std::vector<double> residual(const Problem& problem, const Unknowns& unknowns,
                             const std::vector<double>& z, const TimeTerm& time) {
  std::vector<double> f(z.size(), 0.0);
  ResidualSink sink{f};
  Assembler<false, ResidualSink>{problem, unknowns, z, time, sink}.all();
  return f;
}

Jacobian make_jacobian(const Problem& problem, const Unknowns& unknowns) {
  const std::vector<double> z(index(unknowns.n), 0.0);
  PatternSink sink;
  Assembler<true, PatternSink>{problem, unknowns, z, TimeTerm{}, sink}.all();
  // The stream by columns, then each column sorted by rows and numbered.
  std::vector<int> first(index(unknowns.n) + 1, 0);
  for (const Entry& entry : sink.entries) {
    ++first[index(entry.column) + 1];
  }
  std::partial_sum(first.begin(), first.end(), first.begin());
  std::vector<std::pair<int, int>> by_column(sink.entries.size()); // row, place in the stream
  std::vector<int> next(first.begin(), first.end() - 1);
  for (std::size_t k = 0; k < sink.entries.size(); ++k) {
    const Entry& entry = sink.entries[k];
    by_column[index(next[index(entry.column)]++)] = {entry.row, static_cast<int>(k)};
  }
  Jacobian jacobian;
  SparseMatrix& matrix = jacobian.matrix;
  matrix.n = unknowns.n;
  matrix.column_start.push_back(0);
  jacobian.slot.resize(sink.entries.size());
  for (int column = 0; column < unknowns.n; ++column) {
    const auto begin = by_column.begin() + first[index(column)];
    const auto end = by_column.begin() + first[index(column) + 1];
    std::sort(begin, end);
    for (auto entry = begin; entry != end; ++entry) {
      if (entry == begin || entry->first != matrix.row.back()) {
        matrix.row.push_back(entry->first);
      }
      jacobian.slot[index(entry->second)] = static_cast<int>(matrix.row.size()) - 1;
    }
    matrix.column_start.push_back(static_cast<int>(matrix.row.size()));
  }
  matrix.value.assign(matrix.row.size(), 0.0);
  return jacobian;
}

std::vector<double> refill(const Problem& problem, const Unknowns& unknowns,
                           const std::vector<double>& z, const TimeTerm& time, Jacobian& jacobian) {
  std::vector<double> f(z.size(), 0.0);
  std::fill(jacobian.matrix.value.begin(), jacobian.matrix.value.end(), 0.0);
  JacobianSink sink{f, jacobian};
  Assembler<true, JacobianSink>{problem, unknowns, z, time, sink}.all();
  return f;
}

} // namespace tiltfin

#include "solver/assembly.hpp"
#include "tests/solver/fixtures.hpp"

#include <array>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// One problem of the Taylor test.
struct Variant {
  std::string name;
  std::array<SideKind, 4> sides; ///< west, east, south, north
  double psi = 10.0;             ///< size of the streamfunction, in diffusivities
  double rate = 0.0;             ///< of the time term
  bool calm = false;
  bool fins = false;       ///< fin media and grilles
  double emissivity = 0.0; ///< of solids and media; of walls half of it
};

std::vector<Variant> variants() {
  using enum SideKind;
  return {
      {"walls", {isothermal, isothermal, insulated, insulated}},
      {"walls turned", {insulated, film, isothermal, symmetry}},
      {"films", {film, film, film, film}},
      {"symmetry west", {symmetry, isothermal, film, insulated}},
      {"symmetry east", {isothermal, symmetry, insulated, film}},
      {"symmetry south", {film, insulated, symmetry, isothermal}},
      {"symmetry north", {insulated, film, isothermal, symmetry}},
      {"open west", {open, isothermal, insulated, film}},
      {"open east", {film, open, isothermal, insulated}},
      {"open south", {insulated, film, open, isothermal}},
      {"open north", {isothermal, insulated, film, open}},
      {"open west and east", {open, open, symmetry, insulated}},
      {"open south and north", {insulated, symmetry, open, open}},
      {"open all round", {open, open, open, open}},
      {"slow", {isothermal, film, insulated, insulated}, 0.1},
      {"fast", {isothermal, film, open, insulated}, 300.0},
      {"fast and open all round", {open, open, open, open}, 300.0},
      {"time term", {isothermal, open, insulated, symmetry}, 10.0, 50.0},
      {"calm room", {open, open, insulated, open}, 100.0, 0.0, true},
      {"fins", {isothermal, film, insulated, open}, 10.0, 0.0, false, true},
      {"fins in fast air", {film, isothermal, open, open}, 300.0, 0.0, false, true},
      {"fins in slow air", {isothermal, film, insulated, symmetry}, 0.1, 0.0, false, true},
      {"fins, open, time term", {open, open, open, open}, 10.0, 50.0, true, true},
      {"radiation between walls",
       {isothermal, film, insulated, film},
       10.0,
       0.0,
       false,
       false,
       0.8},
      {"radiation, open and mirror",
       {open, insulated, symmetry, film},
       10.0,
       50.0,
       false,
       false,
       1.0},
      {"radiation from fins", {isothermal, film, insulated, open}, 10.0, 0.0, false, true, 0.6},
      {"radiation from fins in time", {film, open, open, symmetry}, 10.0, 50.0, true, true, 0.9},
  };
}

Problem problem_of(const Variant& variant) {
  Section section = furnished_box();
  for (std::size_t k = 0; k < 4; ++k) {
    section.sides[k] = {variant.sides[k], room + static_cast<double>(k), 3.0};
  }
  for (Solid& solid : section.solids) {
    solid.emissivity = variant.emissivity;
  }
  for (Side& side : section.sides) {
    side.emissivity = 0.5 * variant.emissivity;
  }
  section.radiant_zone = 0.1;
  if (variant.calm) {
    section.machine = Rectangle{0.2, 0.8, 0.15, 0.65};
  }
  if (variant.fins) { // between base and fin, beside another bundle, at a side; sheets either way
    section.media = {{"inner", {0.3, 0.5, 0.4, 0.55}, 0.05, 0.02, 5.0, 0.2},
                     {"outer", {0.5, 0.58, 0.4, 0.5}, 0.03, 0.03, 5.0},
                     {"at the side", {0.0, 0.1, 0.3, 0.5}, 0.08, 0.01, 9.0}};
    for (FinMedium& medium : section.media) {
      medium.emissivity = variant.emissivity;
    }
    section.grilles = {{"upright", {0.9, 0.9, 0.0, 0.8}, 20.0, 5.0},
                       {"lying", {0.1, 0.5, 0.72, 0.72}, 3.0, 0.5}};
  }
  return make_problem(section, rough_mesh(section), tilted(37.0, 1e4, 5.0), round_air(),
                      CalmRoom{10.0, 0.05, 0.2});
}

/// An age at which the exchange of heat depends on it strongly.
double young_age(const Problem& problem, std::size_t k) {
  return 0.005 * developed_age(problem.media[k], problem.air);
}

/// A state without symmetry in which no face of an open side is near the change of its direction:
/// psi alternates along open sides and is smaller on islands.
std::vector<double> rough_state(const Problem& problem, const Unknowns& unknowns, double size) {
  const TensorMesh& mesh = problem.mesh;
  State state = unpack(unknowns, random_vector(unknowns.n, 21));
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      double& psi = state.psi[at(mesh.node(i, j))];
      const bool edge = i == 0 || j == 0 || i == mesh.x.n() || j == mesh.y.n();
      if (unknowns.island[at(mesh.node(i, j))] >= 0) {
        psi *= 0.2;
      } else if (edge) {
        psi = ((i + j) % 2 == 0 ? 1.0 : -1.0) * (0.75 + 0.25 * psi);
      }
      psi *= size;
    }
  }
  for (double& temperature : state.temperature) {
    temperature = room + 3.0 * temperature;
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    state.fin_temperature[k] = room + 3.0 * state.fin_temperature[k];
    state.air_age[k] = young_age(problem, k) * (1.0 + 0.5 * state.air_age[k]);
  }
  for (std::vector<double>* radiation : {&state.radiosity, &state.irradiation}) {
    for (double& flux : *radiation) {
      flux = stefan_boltzmann * std::pow(room, 4) + 30.0 * flux;
    }
  }
  return pack(unknowns, state);
}

std::vector<double> direction_of(const Problem& problem, const Unknowns& unknowns, double size) {
  std::vector<double> d = random_vector(unknowns.n, 22);
  std::vector<char> is_psi(d.size(), 0);
  for (const int k : unknowns.psi) {
    if (k >= 0) {
      is_psi[at(k)] = 1;
    }
  }
  for (std::size_t k = 0; k < d.size(); ++k) {
    d[k] *= is_psi[k] != 0 ? size : 3.0;
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    d[at(unknowns.air_age[k])] *= young_age(problem, k) / 3.0;
  }
  return d;
}

std::vector<double> product(const SparseMatrix& matrix, const std::vector<double>& x) {
  std::vector<double> y(x.size(), 0.0);
  for (std::size_t column = 0; column < x.size(); ++column) {
    for (int k = matrix.column_start[column]; k < matrix.column_start[column + 1]; ++k) {
      y[at(matrix.row[at(k)])] += matrix.value[at(k)] * x[column];
    }
  }
  return y;
}

double norm(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values) {
    sum += value * value;
  }
  return std::sqrt(sum);
}

} // namespace

TEST_CASE("Assembly: the Jacobian is the derivative of the residual", "[assembly]") {
  for (const Variant& variant : variants()) {
    CAPTURE(variant.name);
    const Problem problem = problem_of(variant);
    const Unknowns unknowns = number_unknowns(problem);
    const std::vector<double> z = rough_state(problem, unknowns, variant.psi);
    const std::vector<double> d = direction_of(problem, unknowns, variant.psi);
    TimeTerm time{variant.rate, {}};
    if (variant.rate > 0.0) {
      time.history = random_vector(unknowns.n, 23);
    }
    Jacobian jacobian = make_jacobian(problem, unknowns);
    const std::vector<double> f = refill(problem, unknowns, z, time, jacobian);
    const std::vector<double> slope = product(jacobian.matrix, d);
    const auto remainder = [&](double h) {
      std::vector<double> moved = z;
      for (std::size_t k = 0; k < z.size(); ++k) {
        moved[k] += h * d[k];
      }
      std::vector<double> r = residual(problem, unknowns, moved, time);
      for (std::size_t k = 0; k < z.size(); ++k) {
        r[k] -= f[k] + h * slope[k];
      }
      return r;
    };
    // Second order is exactly a fall by 4. The third order bends it by a few h times the ratio of
    // cell Peclet number and blend (at most some 50): under 2 % at this step; rounding is 1e-7 of
    // it.
    const double h = 1e-4;
    const std::vector<double> r1 = remainder(h);
    const std::vector<double> r2 = remainder(0.5 * h);
    const auto ratio = [](const std::vector<double>& a, const std::vector<double>& b) {
      return norm(a) / norm(b);
    };
    CHECK_THAT(ratio(psi_rows(unknowns, r1), psi_rows(unknowns, r2)), WithinAbs(4.0, 0.1));
    CHECK_THAT(ratio(temperature_rows(unknowns, r1), temperature_rows(unknowns, r2)),
               WithinAbs(4.0, 0.1));
    if (variant.fins) {
      CHECK_THAT(ratio(age_rows(unknowns, r1), age_rows(unknowns, r2)), WithinAbs(4.0, 0.1));
      CHECK_THAT(ratio(fin_rows(unknowns, r1), fin_rows(unknowns, r2)), WithinAbs(4.0, 0.1));
    }
    // A link's own row is linear: what remains is rounding of temperatures near 300.
    CHECK(std::abs(r1[at(unknowns.link[0])]) < 300.0 * 1e-14);
    // So is that of an irradiation: rounding of fluxes near 500. A radiosity's is not.
    const auto rows = [](const std::vector<int>& numbers, const std::vector<double>& r) {
      std::vector<double> chosen;
      for (const int k : numbers) {
        chosen.push_back(r[at(k)]);
      }
      return chosen;
    };
    CHECK(largest(rows(unknowns.irradiation, r1)) < 500.0 * 1e-14);
    if (variant.emissivity > 0.0) {
      CHECK_THAT(ratio(rows(unknowns.radiosity, r1), rows(unknowns.radiosity, r2)),
                 WithinAbs(4.0, 0.1));
    }
  }
}

TEST_CASE("Assembly: refilling gives the residual and forgets what was there", "[assembly]") {
  const Problem problem = problem_of(variants()[0]);
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = rough_state(problem, unknowns, 10.0);
  Jacobian jacobian = make_jacobian(problem, unknowns);
  const std::vector<double> f = refill(problem, unknowns, z, {}, jacobian);
  // The same lines in the same order; a compiler may fuse products and sums in one and not in the
  // other.
  CHECK(largest_difference(f, residual(problem, unknowns, z)) < 1e-13 * largest(f));
  const std::vector<double> values = jacobian.matrix.value;
  (void)refill(problem, unknowns, random_vector(unknowns.n, 2), {7.0, {}}, jacobian);
  (void)refill(problem, unknowns, z, {}, jacobian);
  CHECK((jacobian.matrix.value == values)); // the same bits
}

TEST_CASE("Assembly: the pattern is compressed by columns with ascending rows", "[assembly]") {
  const Problem problem = problem_of(variants()[13]);
  const Unknowns unknowns = number_unknowns(problem);
  const SparseMatrix matrix = make_jacobian(problem, unknowns).matrix;
  REQUIRE(matrix.n == unknowns.n);
  REQUIRE(matrix.column_start.size() == at(matrix.n) + 1);
  CHECK(matrix.column_start.front() == 0);
  CHECK(at(matrix.column_start.back()) == matrix.row.size());
  CHECK(matrix.row.size() == matrix.value.size());
  bool ascending = true;
  for (std::size_t column = 0; column < at(matrix.n); ++column) {
    for (int k = matrix.column_start[column] + 1; k < matrix.column_start[column + 1]; ++k) {
      ascending = ascending && matrix.row[at(k - 1)] < matrix.row[at(k)];
    }
  }
  CHECK(ascending);
}

TEST_CASE("Assembly: the time term vanishes where nothing changes", "[assembly]") {
  const Problem problem = problem_of(variants()[0]);
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = rough_state(problem, unknowns, 10.0);
  TimeTerm time{40.0, z};
  for (double& value : time.history) {
    value *= time.rate;
  }
  const std::vector<double> steady = residual(problem, unknowns, z);
  // Rounding of rate times density times capacity times area times 300 K, and of the rows.
  const double size = largest(steady) + 40.0 * 300.0 * 0.08 * 0.08;
  CHECK(largest_difference(residual(problem, unknowns, z, time), steady) < 1e-13 * size);
}

TEST_CASE("Assembly: the time term is the rate of heat and of momentum stored", "[assembly]") {
  const Problem problem = problem_of(variants()[0]);
  const TensorMesh& mesh = problem.mesh;
  const Unknowns unknowns = number_unknowns(problem);
  const std::vector<double> z = rough_state(problem, unknowns, 10.0);
  const State state = unpack(unknowns, z);
  const double rate = 40.0;
  const std::vector<double> steady = residual(problem, unknowns, z);
  std::vector<double> stored = residual(problem, unknowns, z, {rate, {}});
  for (std::size_t k = 0; k < stored.size(); ++k) {
    stored[k] -= steady[k];
  }
  double worst = 0.0;
  for (int k = 0; k < mesh.n_cells(); ++k) {
    const double area = mesh.x.width(k % mesh.x.n()) * mesh.y.width(k / mesh.x.n());
    const double expected = rate * area * state.temperature[at(k)]; // density and capacity are 1
    worst = std::max(worst, std::abs(stored[at(unknowns.temperature[at(k)])] - expected));
  }
  CHECK(worst < 1e-13 * (largest(steady) + 40.0 * 300.0 * 0.08 * 0.08));
  const std::vector<double> u = velocity_x(mesh, state);
  const std::vector<double> v = velocity_y(mesh, state);
  const std::vector<double> expected =
      circulation(problem, unknowns, [&](const MomentumFace& face, int i, int j, bool is_x) {
        return rate * face.path() *
               (is_x ? u[at(problem.face_x(i, j))] : v[at(problem.face_y(i, j))]);
      });
  CHECK(largest_difference(psi_rows(unknowns, stored), psi_rows(unknowns, expected)) <
        1e-13 * (largest(steady) + largest(expected)));
}

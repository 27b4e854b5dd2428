// Order of accuracy by a manufactured solution: fields are chosen, the continuous equations'
// integrals over the scheme's own paths and cells are the source, and F(z) = source is solved.
#include "solver/unknowns.hpp"
#include "tests/solver/fixtures.hpp"
#include "tests/solver/manufactured.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

double porosity_of(const FinMedium& medium) {
  return medium.gap / (medium.gap + medium.fin_thickness);
}

/// Gaps so wide and fins so thin that nothing is left of them.
FinMedium clear_air() {
  FinMedium medium{"none", {0.0, 1.0, 0.0, 1.0}, 1e9, 0.0, 1.0};
  medium.profile = 1.0;
  return medium;
}

/// Fins of a quarter of the area whose drag is as large as the other terms.
FinMedium coarse_fins() {
  return {"fins", {0.0, 1.0, 0.0, 1.0}, 0.15, 0.05, 3.0};
}

/// psi = size f(x) h(y), zero with its gradient on all sides; temperature = room + 0.5 - x +
/// swing p(x) q(y): isothermal west and east, insulated south and north.
struct Fields {
  double size = 900.0; // psi up to about 6 diffusivities, as in a cavity at Ra 1e4
  double swing = 1.2;
  Family f{0.0, 0.0, 1.0, -1.3, -0.4, 0.7}; // x^2 (1 - x)^2 (1 + 0.7 x)
  Family h{0.0, 0.0, 1.0, -2.5, 2.0, -0.5}; // y^2 (1 - y)^2 (1 - 0.5 y)
  Family p{0.0, 1.0, -0.6, -0.4};           // x (1 - x) (1 + 0.4 x)
  Family q{0.3, 0.0, 3.0, -2.0};            // flat at 0 and 1
  FinMedium medium = clear_air();           ///< what fills the box

  [[nodiscard]] double psi(double x, double y) const { return size * f(0, x) * h(0, y); }
  [[nodiscard]] double u(double x, double y) const { return size * f(0, x) * h(1, y); }
  [[nodiscard]] double v(double x, double y) const { return -size * f(1, x) * h(0, y); }
  [[nodiscard]] double temperature(double x, double y) const {
    return room + 0.5 - x + swing * p(0, x) * q(0, y);
  }
  [[nodiscard]] double temperature_x(double x, double y) const {
    return -1.0 + swing * p(1, x) * q(0, y);
  }
  [[nodiscard]] double temperature_y(double x, double y) const { return swing * p(0, x) * q(1, y); }
  /// Of the fins: another swing about the same sides; flat at south and north like that of the air.
  [[nodiscard]] double fin_temperature(double x, double y) const {
    return room + 0.5 - x - 0.8 * p(0, x) * q(0, 1.0 - y);
  }
  [[nodiscard]] double fin_temperature_x(double x, double y) const {
    return -1.0 - 0.8 * p(1, x) * q(0, 1.0 - y);
  }
  [[nodiscard]] double fin_temperature_y(double x, double y) const {
    return 0.8 * p(0, x) * q(1, 1.0 - y);
  }
  /// Of the air in the gaps: flat at all sides.
  [[nodiscard]] double age(double x, double y) const { return oldest * q(0, x) * q(0, y); }
  [[nodiscard]] double age_x(double x, double y) const { return oldest * q(1, x) * q(0, y); }
  [[nodiscard]] double age_y(double x, double y) const { return oldest * q(0, x) * q(1, y); }
  double oldest = 2e-3; ///< a tenth of developed flow

  /// rho profile u.grad u - mu lap u + 12 mu u / gap^2 of the velocity in the gaps, along x and y,
  /// with density 1.
  [[nodiscard]] double in_gaps(double convection, double stress, double velocity, double mu) const {
    const double porosity = porosity_of(medium);
    return convection * medium.profile / (porosity * porosity) +
           (stress + 12.0 * mu * velocity / (medium.gap * medium.gap)) / porosity;
  }
  [[nodiscard]] double momentum_x(double x, double y, double mu) const {
    const double convection =
        u(x, y) * size * f(1, x) * h(1, y) + v(x, y) * size * f(0, x) * h(2, y);
    const double stress = -mu * size * (f(2, x) * h(1, y) + f(0, x) * h(3, y));
    return in_gaps(convection, stress, u(x, y), mu);
  }
  [[nodiscard]] double momentum_y(double x, double y, double mu) const {
    const double convection =
        -u(x, y) * size * f(2, x) * h(0, y) - v(x, y) * size * f(1, x) * h(1, y);
    const double stress = mu * size * (f(3, x) * h(0, y) + f(1, x) * h(2, y));
    return in_gaps(convection, stress, v(x, y), mu);
  }
};

/// Integral over a cell's outline of the flux (x and y parts) that leaves it.
template <class FluxX, class FluxY>
double out_of_cell(const TensorMesh& mesh, int cell, FluxX flux_x, FluxY flux_y) {
  const int i = cell % mesh.x.n();
  const int j = cell / mesh.x.n();
  const auto through_x = [&](int k) {
    return integrate(mesh.y.at(j), mesh.y.at(j + 1),
                     [&](double y) { return flux_x(mesh.x.at(k), y); });
  };
  const auto through_y = [&](int k) {
    return integrate(mesh.x.at(i), mesh.x.at(i + 1),
                     [&](double x) { return flux_y(x, mesh.y.at(k)); });
  };
  return through_x(i + 1) - through_x(i) + through_y(j + 1) - through_y(j);
}

template <class Function>
double over_cell(const TensorMesh& mesh, int cell, Function g) {
  const int i = cell % mesh.x.n();
  const int j = cell / mesh.x.n();
  return integrate(mesh.y.at(j), mesh.y.at(j + 1), [&](double y) {
    return integrate(mesh.x.at(i), mesh.x.at(i + 1), [&](double x) { return g(x, y); });
  });
}

/// What a medium adds to the air's row, and the rows of its fins and its age.
void add_medium_source(const Problem& problem, const Unknowns& unknowns, const Fields& fields,
                       const MediumCell& cell, std::vector<double>& source) {
  const TensorMesh& mesh = problem.mesh;
  const AirProperties& air = problem.air;
  const FinMedium& medium = fields.medium;
  const double porosity = porosity_of(medium);
  const double metal = (1.0 - porosity) * medium.conductivity;
  const double old = 4.0 * medium.gap * medium.gap / air.diffusivity();
  // Exchange coefficient per area: Nu k / (2 gap) times two surfaces per pitch.
  const double pitch = medium.gap + medium.fin_thickness;
  const double exchange = over_cell(mesh, cell.cell, [&](double x, double y) {
    return gap_nusselt(fields.age(x, y) / old) * air.conductivity / (medium.gap * pitch) *
           (fields.fin_temperature(x, y) - fields.temperature(x, y));
  });
  const auto k = at(problem.medium_cell[at(cell.cell)]);
  source[at(unknowns.temperature[at(cell.cell)])] -= exchange;
  source[at(unknowns.fin_temperature[k])] =
      exchange + out_of_cell(
                     mesh, cell.cell,
                     [&](double x, double y) { return -metal * fields.fin_temperature_x(x, y); },
                     [&](double x, double y) { return -metal * fields.fin_temperature_y(x, y); });
  const double spread = porosity * air.diffusivity();
  source[at(unknowns.air_age[k])] =
      out_of_cell(
          mesh, cell.cell,
          [&](double x, double y) {
            return fields.u(x, y) * fields.age(x, y) - spread * fields.age_x(x, y);
          },
          [&](double x, double y) {
            return fields.v(x, y) * fields.age(x, y) - spread * fields.age_y(x, y);
          }) -
      over_cell(mesh, cell.cell,
                [&](double x, double y) { return porosity * (1.0 - fields.age(x, y) / old); });
}

std::vector<double> source_of(const Problem& problem, const Unknowns& unknowns,
                              const Fields& fields) {
  const Axis& ax = problem.mesh.x;
  const Axis& ay = problem.mesh.y;
  const AirProperties& air = problem.air;
  // Momentum along the path between two cell centres.
  std::vector<double> source =
      circulation(problem, unknowns, [&](const MomentumFace&, int i, int j, bool is_x) {
        const double force =
            air.density * air.expansion * (is_x ? problem.gravity_x : problem.gravity_y);
        const auto along_x = [&](double x) {
          const double y = ay.centre(j);
          return fields.momentum_x(x, y, air.viscosity) +
                 force * (fields.temperature(x, y) - air.reference_temperature);
        };
        const auto along_y = [&](double y) {
          const double x = ax.centre(i);
          return fields.momentum_y(x, y, air.viscosity) +
                 force * (fields.temperature(x, y) - air.reference_temperature);
        };
        return is_x ? integrate(ax.centre(i - 1), ax.centre(i), along_x)
                    : integrate(ay.centre(j - 1), ay.centre(j), along_y);
      });
  // Heat out of every cell, face by face.
  const auto flux = [&](double velocity, double temperature, double slope) {
    return air.density * air.heat_capacity * velocity * (temperature - air.reference_temperature) -
           porosity_of(fields.medium) * air.conductivity * slope;
  };
  const auto through_x = [&](int i, int j) {
    const double x = ax.at(i);
    return integrate(ay.at(j), ay.at(j + 1), [&](double y) {
      return flux(fields.u(x, y), fields.temperature(x, y), fields.temperature_x(x, y));
    });
  };
  const auto through_y = [&](int i, int j) {
    const double y = ay.at(j);
    return integrate(ax.at(i), ax.at(i + 1), [&](double x) {
      return flux(fields.v(x, y), fields.temperature(x, y), fields.temperature_y(x, y));
    });
  };
  for (int j = 0; j < ay.n(); ++j) {
    for (int i = 0; i < ax.n(); ++i) {
      source[at(unknowns.temperature[at(problem.mesh.cell(i, j))])] =
          through_x(i + 1, j) - through_x(i, j) + through_y(i, j + 1) - through_y(i, j);
    }
  }
  for (const MediumCell& cell : problem.media) {
    add_medium_source(problem, unknowns, fields, cell, source);
  }
  return source;
}

State exact_state(const Problem& problem, const Fields& fields) {
  const TensorMesh& mesh = problem.mesh;
  State state = rest_state(problem, room);
  for (int j = 0; j <= mesh.y.n(); ++j) {
    for (int i = 0; i <= mesh.x.n(); ++i) {
      state.psi[at(mesh.node(i, j))] = fields.psi(mesh.x.at(i), mesh.y.at(j));
      if (i < mesh.x.n() && j < mesh.y.n()) {
        state.temperature[at(mesh.cell(i, j))] =
            fields.temperature(mesh.x.centre(i), mesh.y.centre(j));
      }
    }
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    const double x = mesh.x.centre(problem.media[k].cell % mesh.x.n());
    const double y = mesh.y.centre(problem.media[k].cell / mesh.x.n());
    state.fin_temperature[k] = fields.fin_temperature(x, y);
    state.air_age[k] = fields.age(x, y);
  }
  return state;
}

struct Errors {
  double psi = 0.0;         ///< largest
  double velocity = 0.0;    ///< root of the mean square
  double temperature = 0.0; ///< largest
  double fins = 0.0;        ///< largest
  double age = 0.0;         ///< largest, relative to the oldest
};

Errors errors_on(int n, double strength, bool with_fins) {
  Fields fields;
  Section section = heated_box();
  if (with_fins) {
    fields.medium = coarse_fins();
    section.media = {fields.medium};
  }
  TensorMesh mesh =
      mesh_on(section, graded_axis(1.0, n, strength), graded_axis(1.0, n, -0.5 * strength));
  if (with_fins) {
    mesh.medium.assign(mesh.region.size(), 1);
  }
  const Problem problem = make_problem(section, mesh, tilted(37.0, 1e4), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  const State exact = exact_state(problem, fields);
  const State found = unpack(unknowns, newton(problem, unknowns, pack(unknowns, exact),
                                              source_of(problem, unknowns, fields)));
  Errors errors;
  errors.psi = largest_difference(found.psi, exact.psi);
  errors.temperature = largest_difference(found.temperature, exact.temperature);
  errors.fins = largest_difference(found.fin_temperature, exact.fin_temperature);
  errors.age = largest_difference(found.air_age, exact.air_age) / fields.oldest;
  const std::vector<double> u = velocity_x(mesh, found);
  const std::vector<double> v = velocity_y(mesh, found);
  double sum = 0.0;
  for (int j = 0; j < n; ++j) {
    for (int i = 0; i < n; ++i) {
      const double du = u[at(problem.face_x(i, j))] - fields.u(mesh.x.at(i), mesh.y.centre(j));
      const double dv = v[at(problem.face_y(i, j))] - fields.v(mesh.x.centre(i), mesh.y.at(j));
      sum += (du * du + dv * dv) * mesh.x.width(i) * mesh.y.width(j);
    }
  }
  errors.velocity = std::sqrt(sum);
  return errors;
}

} // namespace

TEST_CASE("Order: flow and temperature are second-order accurate on graded meshes",
          "[equations][order]") {
  for (const double strength : {0.0, 0.5}) {
    const Errors coarse = errors_on(32, strength, false);
    const Errors fine = errors_on(64, strength, false);
    const double psi = std::log2(coarse.psi / fine.psi);
    const double velocity = std::log2(coarse.velocity / fine.velocity);
    const double temperature = std::log2(coarse.temperature / fine.temperature);
    CAPTURE(strength, coarse.psi, coarse.velocity, coarse.temperature);
    // Second order less what the next order bends it on 32 cells.
    CHECK(psi >= 1.9);
    CHECK(velocity >= 1.9);
    CHECK(temperature >= 1.9);
    // The errors are those of a solved problem, not rounding, and small against the fields.
    CHECK(coarse.psi < 0.1);
    CHECK(coarse.psi > 1e-6);
    CHECK(coarse.temperature < 0.1);
    CHECK(coarse.temperature > 1e-6);
  }
}

TEST_CASE("Order: flow, both temperatures and age are second-order accurate between fins",
          "[equations][order][medium][slow]") {
  for (const double strength : {0.0, 0.5}) {
    const Errors coarse = errors_on(48, strength, true);
    const Errors fine = errors_on(96, strength, true);
    const auto order = [](double a, double b) { return std::log2(a / b); };
    CAPTURE(strength, coarse.psi, coarse.velocity, coarse.temperature, coarse.fins, coarse.age);
    // Second order less what the next order bends it; convection in the gaps is about twice as
    // strong as above, so on more cells (1.85 on 32 to 64 cells, 1.96 on 64 to 128).
    CHECK(order(coarse.psi, fine.psi) >= 1.9);
    CHECK(order(coarse.velocity, fine.velocity) >= 1.9);
    CHECK(order(coarse.temperature, fine.temperature) >= 1.9);
    CHECK(order(coarse.fins, fine.fins) >= 1.9);
    CHECK(order(coarse.age, fine.age) >= 1.9);
    CHECK(coarse.psi < 0.1);
    CHECK(coarse.fins > 1e-6);
    CHECK(coarse.age > 1e-6);
  }
}

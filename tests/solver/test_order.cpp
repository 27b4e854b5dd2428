// Order of accuracy by a manufactured solution: fields are chosen, the continuous equations'
// integrals over the scheme's own paths and cells are the source, and F(z) = source is solved.
#include "solver/unknowns.hpp"
#include "tests/solver/fixtures.hpp"

#include <array>
#include <initializer_list>
#include <utility>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// A polynomial by its coefficients, lowest first.
struct Polynomial {
  std::vector<double> coefficients;

  [[nodiscard]] double operator()(double x) const {
    double sum = 0.0;
    for (auto c = coefficients.rbegin(); c != coefficients.rend(); ++c) {
      sum = sum * x + *c;
    }
    return sum;
  }
  [[nodiscard]] Polynomial derivative() const {
    Polynomial result;
    for (std::size_t k = 1; k < coefficients.size(); ++k) {
      result.coefficients.push_back(static_cast<double>(k) * coefficients[k]);
    }
    return result;
  }
};

/// A polynomial and its first three derivatives.
struct Family {
  explicit Family(std::initializer_list<double> coefficients) : of{Polynomial{coefficients}} {
    for (std::size_t k = 1; k < 4; ++k) {
      of[k] = of[k - 1].derivative();
    }
  }
  [[nodiscard]] double operator()(int derivative, double x) const { return of[at(derivative)](x); }
  std::array<Polynomial, 4> of;
};

/// psi = size f(x) h(y), zero with its gradient on all sides; temperature = room + 0.5 - x +
/// swing p(x) q(y): isothermal west and east, insulated south and north.
struct Fields {
  double size = 900.0; // psi up to about 6 diffusivities, as in a cavity at Ra 1e4
  double swing = 1.2;
  Family f{0.0, 0.0, 1.0, -1.3, -0.4, 0.7}; // x^2 (1 - x)^2 (1 + 0.7 x)
  Family h{0.0, 0.0, 1.0, -2.5, 2.0, -0.5}; // y^2 (1 - y)^2 (1 - 0.5 y)
  Family p{0.0, 1.0, -0.6, -0.4};           // x (1 - x) (1 + 0.4 x)
  Family q{0.3, 0.0, 3.0, -2.0};            // flat at 0 and 1

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
  /// rho u.grad u - mu lap u, along x and y, with density 1.
  [[nodiscard]] double momentum_x(double x, double y, double mu) const {
    const double convection =
        u(x, y) * size * f(1, x) * h(1, y) + v(x, y) * size * f(0, x) * h(2, y);
    return convection - mu * size * (f(2, x) * h(1, y) + f(0, x) * h(3, y));
  }
  [[nodiscard]] double momentum_y(double x, double y, double mu) const {
    const double convection =
        -u(x, y) * size * f(2, x) * h(0, y) - v(x, y) * size * f(1, x) * h(1, y);
    return convection + mu * size * (f(3, x) * h(0, y) + f(1, x) * h(2, y));
  }
};

/// Gauss's rule with four points: the integral of g from a to b.
template <class Function>
double integrate(double a, double b, Function g) {
  double sum = 0.0;
  for (const auto& [place, weight] : {std::pair{0.3399810435848563, 0.6521451548625461},
                                      std::pair{0.8611363115940526, 0.3478548451374538}}) {
    const double half = 0.5 * (b - a);
    const double middle = 0.5 * (a + b);
    sum += half * weight * (g(middle - half * place) + g(middle + half * place));
  }
  return sum;
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
           air.conductivity * slope;
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
  return state;
}

struct Errors {
  double psi = 0.0;         ///< largest
  double velocity = 0.0;    ///< root of the mean square
  double temperature = 0.0; ///< largest
};

Errors errors_on(int n, double strength) {
  const Fields fields;
  const Section section = heated_box();
  const TensorMesh mesh =
      mesh_on(section, graded_axis(1.0, n, strength), graded_axis(1.0, n, -0.5 * strength));
  const Problem problem = make_problem(section, mesh, tilted(37.0, 1e4), round_air());
  const Unknowns unknowns = number_unknowns(problem);
  const State exact = exact_state(problem, fields);
  const State found = unpack(unknowns, newton(problem, unknowns, pack(unknowns, exact),
                                              source_of(problem, unknowns, fields)));
  Errors errors;
  errors.psi = largest_difference(found.psi, exact.psi);
  errors.temperature = largest_difference(found.temperature, exact.temperature);
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
    const Errors coarse = errors_on(32, strength);
    const Errors fine = errors_on(64, strength);
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

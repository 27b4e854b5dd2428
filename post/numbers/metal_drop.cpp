#include "post/numbers/metal_drop.hpp"

#include "mesh/index.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/balances.hpp"

namespace tiltfin {
namespace {

/// Mean by surface.
class SurfaceMean {
public:
  void add(double surface, double temperature) {
    surface_ += surface;
    sum_ += surface * temperature;
  }
  [[nodiscard]] double value() const { return surface_ > 0.0 ? sum_ / surface_ : nan; }

private:
  double surface_ = 0.0;
  double sum_ = 0.0;
};

bool is_of_cooler(const Section& section, int region) {
  if (region <= 0) {
    return false;
  }
  const Role role = section.solids[index(region - 1)].role;
  return role == Role::fin || role == Role::base;
}

/// Adds the solid of one of two neighbouring cells when the other is air.
void add_face(const Section& section, const Problem& problem, const State& state, int metal,
              int air, double length, SurfaceMean& mean) {
  if (is_of_cooler(section, problem.mesh.region[index(metal)]) &&
      problem.mesh.region[index(air)] == 0) {
    const int medium = problem.media.empty() ? -1 : problem.medium_cell[index(air)];
    const double porosity = medium < 0 ? 1.0 : problem.media[index(medium)].porosity;
    mean.add(length * porosity, state.temperature[index(metal)]);
  }
}

} // namespace

double metal_drop(const Section& section, const Problem& problem, const State& state) {
  if (section.base < 0) {
    return nan;
  }
  const TensorMesh& mesh = problem.mesh;
  SurfaceMean mean;
  const auto add_pair = [&](int a, int b, double length) {
    add_face(section, problem, state, a, b, length, mean);
    add_face(section, problem, state, b, a, length, mean);
  };
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (i > 0) {
        add_pair(mesh.cell(i - 1, j), mesh.cell(i, j), mesh.y.width(j));
      }
      if (j > 0) {
        add_pair(mesh.cell(i, j - 1), mesh.cell(i, j), mesh.x.width(i));
      }
    }
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    mean.add(problem.media[k].wetted, state.fin_temperature[k]);
  }
  return solid_temperature(problem, state, section.base).mean - mean.value();
}

} // namespace tiltfin

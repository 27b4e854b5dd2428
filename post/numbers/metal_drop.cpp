#include "post/numbers/metal_drop.hpp"

#include "mesh/index.hpp"
#include "post/fits/estimate.hpp"
#include "post/numbers/balances.hpp"

#include <algorithm>
#include <vector>

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

/// Which solids are the cooler: fins and base, the sources where there are none.
std::vector<bool> cooler_solids(const Section& section) {
  std::vector<bool> is_cooler;
  std::vector<bool> is_source;
  for (const Solid& solid : section.solids) {
    is_cooler.push_back(solid.role == Role::fin || solid.role == Role::base);
    is_source.push_back(solid.role == Role::source);
  }
  const bool is_bare =
      section.media.empty() && std::ranges::find(is_cooler, true) == is_cooler.end();
  return is_bare ? is_source : is_cooler;
}

/// Adds the solid of one of two neighbouring cells when the other is air.
void add_face(const std::vector<bool>& is_cooler, const Problem& problem, const State& state,
              int metal, int air, double area, SurfaceMean& mean) {
  const int region = problem.mesh.region[index(metal)];
  if (region > 0 && is_cooler[index(region - 1)] && problem.mesh.region[index(air)] == 0) {
    const int medium = problem.media.empty() ? -1 : problem.medium_cell[index(air)];
    const double porosity = medium < 0 ? 1.0 : problem.media[index(medium)].porosity;
    mean.add(area * porosity, state.temperature[index(metal)]);
  }
}

} // namespace

double metal_drop(const Section& section, const Problem& problem, const State& state) {
  if (section.base < 0) {
    return nan;
  }
  const TensorMesh& mesh = problem.mesh;
  const std::vector<bool> is_cooler = cooler_solids(section);
  SurfaceMean mean;
  const auto add_pair = [&](int a, int b, double area) {
    add_face(is_cooler, problem, state, a, b, area, mean);
    add_face(is_cooler, problem, state, b, a, area, mean);
  };
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (i > 0) {
        add_pair(mesh.cell(i - 1, j), mesh.cell(i, j), mesh.x_face_area(j));
      }
      if (j > 0) {
        add_pair(mesh.cell(i, j - 1), mesh.cell(i, j), mesh.y_face_area(i, j));
      }
    }
  }
  for (std::size_t k = 0; k < problem.media.size(); ++k) {
    mean.add(problem.media[k].wetted, state.fin_temperature[k]);
  }
  return solid_temperature(problem, state, section.base).mean - mean.value();
}

} // namespace tiltfin

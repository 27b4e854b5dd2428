#include "solver/pressure.hpp"

#include "mesh/index.hpp"
#include "solver/fluxes.hpp"

#include <cmath>
#include <deque>
#include <limits>

namespace tiltfin {

namespace {

/// Walks over the air from cell to cell: pressure falls by the momentum of the face between them.
class Walk {
public:
  Walk(const Problem& problem, const State& state)
      : problem_(problem),
        state_(state),
        unknowns_(number_unknowns(problem)),
        pressure_(index(problem.mesh.n_cells()), std::numeric_limits<double>::quiet_NaN()) {}

  std::vector<double> run() {
    const TensorMesh& mesh = problem_.mesh;
    seed_open_sides();
    spread();
    for (int j = 0; j < mesh.y.n(); ++j) {
      for (int i = 0; i < mesh.x.n(); ++i) {
        if (mesh.is_air(i, j) && std::isnan(pressure_[index(mesh.cell(i, j))])) {
          set(i, j, 0.0);
          const std::vector<int> members = spread();
          centre(members);
        }
      }
    }
    return pressure_;
  }

private:
  void set(int i, int j, double value) {
    const int cell = problem_.mesh.cell(i, j);
    if (problem_.mesh.is_air(i, j) && std::isnan(pressure_[index(cell)])) {
      pressure_[index(cell)] = value;
      front_.push_back(cell);
    }
  }

  /// One cell beside an open side starts the walk: its path to the side is the half cell.
  void seed_open_sides() {
    const int nx = problem_.mesh.x.n();
    const int ny = problem_.mesh.y.n();
    if (problem_.sides[west].kind == SideKind::open) {
      set(0, ny / 2, -momentum_of_x_face(problem_, unknowns_, state_, 0, ny / 2));
    } else if (problem_.sides[east].kind == SideKind::open) {
      set(nx - 1, ny / 2, momentum_of_x_face(problem_, unknowns_, state_, nx, ny / 2));
    } else if (problem_.sides[south].kind == SideKind::open) {
      set(nx / 2, 0, -momentum_of_y_face(problem_, unknowns_, state_, nx / 2, 0));
    } else if (problem_.sides[north].kind == SideKind::open) {
      set(nx / 2, ny - 1, momentum_of_y_face(problem_, unknowns_, state_, nx / 2, ny));
    }
  }

  std::vector<int> spread() {
    const TensorMesh& mesh = problem_.mesh;
    std::vector<int> members;
    while (!front_.empty()) {
      const int cell = front_.front();
      front_.pop_front();
      members.push_back(cell);
      const int i = cell % mesh.x.n();
      const int j = cell / mesh.x.n();
      const double here = pressure_[index(cell)];
      if (i > 0 && mesh.is_air(i - 1, j)) {
        set(i - 1, j, here + momentum_of_x_face(problem_, unknowns_, state_, i, j));
      }
      if (i + 1 < mesh.x.n() && mesh.is_air(i + 1, j)) {
        set(i + 1, j, here - momentum_of_x_face(problem_, unknowns_, state_, i + 1, j));
      }
      if (j > 0 && mesh.is_air(i, j - 1)) {
        set(i, j - 1, here + momentum_of_y_face(problem_, unknowns_, state_, i, j));
      }
      if (j + 1 < mesh.y.n() && mesh.is_air(i, j + 1)) {
        set(i, j + 1, here - momentum_of_y_face(problem_, unknowns_, state_, i, j + 1));
      }
    }
    return members;
  }

  void centre(const std::vector<int>& members) {
    const TensorMesh& mesh = problem_.mesh;
    double sum = 0.0;
    double volume = 0.0;
    for (const int cell : members) {
      const double own = mesh.volume(cell);
      sum += own * pressure_[index(cell)];
      volume += own;
    }
    for (const int cell : members) {
      pressure_[index(cell)] -= sum / volume;
    }
  }

  const Problem& problem_;
  const State& state_;
  Unknowns unknowns_;
  std::vector<double> pressure_;
  std::deque<int> front_;
};

} // namespace

std::vector<double> pressure(const Problem& problem, const State& state) {
  return Walk(problem, state).run();
}

} // namespace tiltfin

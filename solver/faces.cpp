#include "solver/faces.hpp"

#include "mesh/index.hpp"

namespace tiltfin {

namespace {

/// The grid seen along a face's normal (a) and tangent (b).
struct View {
  const Problem& problem;
  const Unknowns& unknowns;
  bool normal_is_x;

  [[nodiscard]] const Axis& normal() const { return normal_is_x ? problem.mesh.x : problem.mesh.y; }
  [[nodiscard]] const Axis& tangent() const {
    return normal_is_x ? problem.mesh.y : problem.mesh.x;
  }
  [[nodiscard]] int node(int a, int b) const {
    if (a < 0 || a > normal().n() || b < 0 || b > tangent().n()) {
      return -1;
    }
    return normal_is_x ? problem.mesh.node(a, b) : problem.mesh.node(b, a);
  }
  [[nodiscard]] int cell(int a, int b) const {
    if (a < 0 || a >= normal().n()) {
      return -1;
    }
    return normal_is_x ? problem.mesh.cell(a, b) : problem.mesh.cell(b, a);
  }
  [[nodiscard]] Edge edge(int a, int b) const {
    const int n = node(a, b);
    if (unknowns.no_slip[index(n)] != 0) {
      return Edge::no_slip;
    }
    return b == 0 || b == tangent().n() ? Edge::free : Edge::air;
  }
};

const MediumCell* medium_at(const Problem& problem, int cell) {
  const int k = cell < 0 ? -1 : problem.medium_cell[index(cell)];
  return k < 0 ? nullptr : &problem.media[index(k)];
}

double porosity_at(const View& view, int a, int b) {
  if (b < 0 || b >= view.tangent().n()) {
    return 1.0;
  }
  const MediumCell* medium = medium_at(view.problem, view.cell(a, b));
  return medium == nullptr ? 1.0 : medium->porosity;
}

void set_halves(const View& view, int a, int b, MomentumFace& face) {
  for (const int side : {0, 1}) {
    PathHalf& half = face.half[index(side)];
    const int column = a - 1 + side;
    half.below = porosity_at(view, column, b - 1);
    half.above = porosity_at(view, column, b + 1);
    const MediumCell* medium = medium_at(view.problem, face.cell[index(side)]);
    if (medium != nullptr) {
      half.porosity = medium->porosity;
      half.resistance = medium->resistance;
      half.profile = medium->profile;
    }
  }
}

/// Of the face at place b of the tangent, on line a of the normal.
FaceDepths depths_of(const View& view, int a, int b) {
  const TensorMesh& mesh = view.problem.mesh;
  const int rows = mesh.y.n();
  const auto row = [&](int j) { return j < 0 || j >= rows ? 0.0 : mesh.row_depth(j); };
  const auto line = [&](int j) { return j < 0 || j > rows ? 0.0 : mesh.line_depth(j); };
  if (view.normal_is_x) { // within one row
    const double own = row(b);
    return {own, {own, own}, {own, own}, {line(b), line(b + 1)}, {row(b - 1), row(b + 1)}};
  }
  const double own = line(a);
  return {own, {row(a - 1), row(a)}, {line(a - 1), line(a + 1)}, {own, own}, {own, own}};
}

MomentumFace momentum_face(const View& view, int a, int b) {
  const Axis& normal = view.normal();
  const Axis& tangent = view.tangent();
  const Problem& problem = view.problem;
  MomentumFace face;
  face.node = {view.node(a, b),         view.node(a, b + 1), view.node(a - 1, b),
               view.node(a - 1, b + 1), view.node(a + 1, b), view.node(a + 1, b + 1),
               view.node(a, b - 1),     view.node(a, b + 2)};
  face.cell = {view.cell(a - 1, b), view.cell(a, b)};
  face.sign = view.normal_is_x ? 1.0 : -1.0;
  face.height = tangent.width(b);
  if (problem.mesh.depth.varies()) {
    face.depth = depths_of(view, a, b);
  }
  face.below = b > 0 ? tangent.width(b - 1) : 0.0;
  face.above = b + 1 < tangent.n() ? tangent.width(b + 1) : 0.0;
  if (face.cell[0] >= 0) {
    face.before = normal.width(a - 1);
    face.calm_before = problem.calm_cell[index(face.cell[0])];
  }
  if (face.cell[1] >= 0) {
    face.after = normal.width(a);
    face.calm_after = problem.calm_cell[index(face.cell[1])];
  }
  face.lower = view.edge(a, b);
  face.upper = view.edge(a, b + 1);
  face.calm_lower = problem.calm_node[index(face.node[0])];
  face.calm_upper = problem.calm_node[index(face.node[1])];
  face.gravity = view.normal_is_x ? problem.gravity_x : problem.gravity_y;
  if (!problem.media.empty()) {
    set_halves(view, a, b, face);
  }
  const std::vector<GrilleLoss>& grilles = view.normal_is_x ? problem.grille_x : problem.grille_y;
  if (!grilles.empty()) {
    face.grille = grilles[index(view.normal_is_x ? problem.face_x(a, b) : problem.face_y(b, a))];
  }
  return face;
}

void set_fins(const Problem& problem, const std::vector<double>& conductance, int k,
              HeatFace& face) {
  if (problem.media.empty()) {
    return;
  }
  bool beside_solid = false;
  for (const int side : {0, 1}) {
    const int cell = face.cell[index(side)];
    face.medium[index(side)] = cell < 0 ? -1 : problem.medium_cell[index(cell)];
    beside_solid = beside_solid || cell < 0 || problem.mesh.region[index(cell)] != 0;
  }
  if (face.medium[0] < 0 && face.medium[1] < 0) {
    return;
  }
  face.fin_conductance = conductance[index(k)];
  if (!beside_solid) {
    face.age_conductance = face.conductance / (problem.air.density * problem.air.heat_capacity);
  }
}

double weight_before(const Axis& axis, int i) {
  return axis.width(i) / (axis.width(i - 1) + axis.width(i));
}

double mean_calm(const Problem& problem, const std::array<int, 2>& cells) {
  return 0.5 * (problem.calm_cell[index(cells[0])] + problem.calm_cell[index(cells[1])]);
}

} // namespace

MomentumFace momentum_face_x(const Problem& problem, const Unknowns& unknowns, int i, int j) {
  return momentum_face({problem, unknowns, true}, i, j);
}

MomentumFace momentum_face_y(const Problem& problem, const Unknowns& unknowns, int i, int j) {
  return momentum_face({problem, unknowns, false}, j, i);
}

HeatFace heat_face_x(const Problem& problem, int i, int j) {
  const TensorMesh& mesh = problem.mesh;
  const int nx = mesh.x.n();
  HeatFace face;
  face.node = {mesh.node(i, j), mesh.node(i, j + 1)};
  face.cell = {i > 0 ? mesh.cell(i - 1, j) : -1, i < nx ? mesh.cell(i, j) : -1};
  face.conductance = problem.conductance_x[index(problem.face_x(i, j))];
  if (i > 0 && i < nx) {
    face.weight_before = weight_before(mesh.x, i);
    face.calm = mean_calm(problem, face.cell);
  } else {
    face.outside = problem.sides[i == 0 ? west : east].temperature;
  }
  set_fins(problem, problem.fin_conductance_x, problem.face_x(i, j), face);
  return face;
}

HeatFace heat_face_y(const Problem& problem, int i, int j) {
  const TensorMesh& mesh = problem.mesh;
  const int ny = mesh.y.n();
  HeatFace face;
  face.node = {mesh.node(i, j), mesh.node(i + 1, j)};
  face.cell = {j > 0 ? mesh.cell(i, j - 1) : -1, j < ny ? mesh.cell(i, j) : -1};
  face.sign = -1.0;
  face.conductance = problem.conductance_y[index(problem.face_y(i, j))];
  if (j > 0 && j < ny) {
    face.weight_before = weight_before(mesh.y, j);
    face.calm = mean_calm(problem, face.cell);
  } else {
    face.outside = problem.sides[j == 0 ? south : north].temperature;
  }
  set_fins(problem, problem.fin_conductance_y, problem.face_y(i, j), face);
  return face;
}

} // namespace tiltfin

#include "mesh/mesh_error.hpp"
#include "mesh/tensor_mesh.hpp"
#include "tests/catch.hpp"
#include "tests/mesh/fixtures.hpp"

#include <algorithm>
#include <cmath>
#include <set>
#include <stdexcept>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

constexpr double slack = 1e-8; // counts may exceed a whole number by 1e-9, relative to 1

/// Seven plates of 60 x 1.5 mm with gaps of 6 mm in the middle of a closed box, symmetric both
/// ways.
Section stack() {
  Section section;
  section.width = 0.12;
  section.height = 0.12;
  for (int k = 0; k < 7; ++k) {
    const double x = 0.03675 + 0.0075 * (k - 1) + 0.00075;
    section.solids.push_back(solid("plate " + std::to_string(k + 1), {x, x + 0.0015, 0.03, 0.09}));
  }
  return section;
}

/// A machine with a board, a base and fins of odd sizes in a room with open sides.
Section room() {
  Section section;
  section.width = 0.6;
  section.height = 0.8;
  for (Side& side : section.sides) {
    side.kind = SideKind::open;
  }
  section.machine = Rectangle{0.19, 0.345, 0.2, 0.41};
  section.openings.push_back({"lower grille", {0.21, 0.33, 0.2, 0.2}});
  section.solids.push_back(solid("board", {0.21, 0.2116, 0.21, 0.36}, Role::board));
  section.solids.push_back(solid("base", {0.2151, 0.2223, 0.25, 0.311}, Role::base));
  for (int k = 0; k < 4; ++k) {
    const double y = 0.253 + 0.0137 * k;
    section.solids.push_back(solid("fin", {0.2223, 0.27, y, y + 0.0021}));
  }
  return section;
}

double largest_width(const Axis& axis) {
  double largest = 0.0;
  for (int i = 0; i < axis.n(); ++i) {
    largest = std::max(largest, axis.width(i));
  }
  return largest;
}

bool has_face(const Axis& axis, double position) {
  return std::any_of(axis.faces.begin(), axis.faces.end(),
                     [position](double face) { return std::abs(face - position) < rounding; });
}

double area_of_region(const TensorMesh& mesh, int region) {
  double area = 0.0;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      if (mesh.region[static_cast<std::size_t>(mesh.cell(i, j))] == region) {
        area += mesh.x.width(i) * mesh.y.width(j);
      }
    }
  }
  return area;
}

} // namespace

TEST_CASE("Tensor mesh: every edge, opening and outline is a mesh line at every level",
          "[tensor_mesh]") {
  const Section section = room();
  for (const int level : {0, 1, 2}) {
    const TensorMesh mesh = make_mesh(section, {}, level);
    std::vector<Rectangle> rectangles{
        *section.machine, section.openings[0].line, {0.0, section.width, 0.0, section.height}};
    for (const Solid& part : section.solids) {
      rectangles.push_back(part.extent);
    }
    for (const Rectangle& r : rectangles) {
      CHECK(has_face(mesh.x, r.x0));
      CHECK(has_face(mesh.x, r.x1));
      CHECK(has_face(mesh.y, r.y0));
      CHECK(has_face(mesh.y, r.y1));
    }
  }
}

TEST_CASE("Tensor mesh: each region has the area of its solid", "[tensor_mesh]") {
  for (const Section& section : {stack(), room()}) {
    for (const int level : {0, 1, 2}) {
      const TensorMesh mesh = make_mesh(section, {}, level);
      double air = section.width * section.height;
      for (std::size_t k = 0; k < section.solids.size(); ++k) {
        const Rectangle& r = section.solids[k].extent;
        air -= r.width() * r.height();
        CHECK_THAT(area_of_region(mesh, static_cast<int>(k) + 1),
                   WithinAbs(r.width() * r.height(), rounding));
      }
      CHECK_THAT(area_of_region(mesh, 0), WithinAbs(air, rounding));
    }
  }
}

TEST_CASE("Tensor mesh: gaps and sheets get their cells", "[tensor_mesh]") {
  Resolution wanted;
  for (const int per_gap : {6, 8, 12}) {
    for (const int per_sheet : {2, 4}) {
      wanted.cells_per_gap = per_gap;
      wanted.cells_per_sheet = per_sheet;
      const Section section = room();
      const TensorMesh mesh = make_mesh(section, wanted);
      for (const Gap& gap : find_gaps(section)) {
        const Rectangle& r = gap.extent;
        const int n =
            gap.across_x ? cells_between(mesh.x, r.x0, r.x1) : cells_between(mesh.y, r.y0, r.y1);
        CHECK(n >= per_gap);
      }
      for (const Solid& part : section.solids) {
        CHECK(cells_between(mesh.x, part.extent.x0, part.extent.x1) >= per_sheet);
        CHECK(cells_between(mesh.y, part.extent.y0, part.extent.y1) >= per_sheet);
      }
    }
  }
}

TEST_CASE("Tensor mesh: a gap that fits gets exactly its cells, a sheet two", "[tensor_mesh]") {
  // 6 mm / 8 = 1.5 mm / 2 = 0.75 mm: nothing needs rounding.
  const Section section = stack();
  const TensorMesh mesh = make_mesh(section, {});
  for (std::size_t k = 0; k < section.solids.size(); ++k) {
    const Rectangle& r = section.solids[k].extent;
    CHECK(cells_between(mesh.x, r.x0, r.x1) == 2);
    if (k > 0) {
      CHECK(cells_between(mesh.x, section.solids[k - 1].extent.x1, r.x0) == 8);
    }
  }
}

TEST_CASE("Tensor mesh: widths keep to the growth ratio and to the largest cell", "[tensor_mesh]") {
  for (const Section& section : {stack(), room()}) {
    const Resolution settled = settle(section, {});
    const TensorMesh mesh = make_mesh(section, {});
    for (const Axis* axis : {&mesh.x, &mesh.y}) {
      CHECK(largest_ratio(*axis) <= settled.growth * (1.0 + slack));
      CHECK(largest_width(*axis) <= settled.largest_cell * (1.0 + slack));
    }
  }
}

TEST_CASE("Tensor mesh: cells beside solids and closed sides are no larger than the wall cell",
          "[tensor_mesh]") {
  const Section section = stack();
  const double limit = settle(section, {}).wall_cell * (1.0 + slack);
  const TensorMesh mesh = make_mesh(section, {});
  for (const Axis* axis : {&mesh.x, &mesh.y}) {
    CHECK(axis->width(0) <= limit);
    CHECK(axis->width(axis->n() - 1) <= limit);
  }
  for (const Solid& part : section.solids) {
    for (const double x : {part.extent.x0, part.extent.x1}) {
      CHECK(mesh.x.width(cell_at(mesh.x, x - 1e-6)) <= limit);
      CHECK(mesh.x.width(cell_at(mesh.x, x + 1e-6)) <= limit);
    }
    for (const double y : {part.extent.y0, part.extent.y1}) {
      CHECK(mesh.y.width(cell_at(mesh.y, y - 1e-6)) <= limit);
      CHECK(mesh.y.width(cell_at(mesh.y, y + 1e-6)) <= limit);
    }
  }
}

TEST_CASE("Tensor mesh: an empty box follows the wall cell and the growth", "[tensor_mesh]") {
  Section section;
  section.width = 1.0;
  section.height = 1.0;
  Resolution wanted;
  wanted.wall_cell = 0.01;
  const TensorMesh mesh = make_mesh(section, wanted);
  CHECK_THAT(mesh.x.width(0), WithinRel(0.01, slack));
  CHECK(largest_ratio(mesh.x) <= 1.2 * (1.0 + slack));
  CHECK(largest_ratio(mesh.x) > 1.15); // the growth is made use of
  CHECK(mesh.x.faces == mesh.y.faces);
  CHECK(mesh.n_nodes() == (mesh.x.n() + 1) * (mesh.y.n() + 1));
  wanted.wall_cell = 0.005;
  CHECK_THAT(make_mesh(section, wanted).x.width(0), WithinRel(0.005, slack));
}

TEST_CASE("Tensor mesh: levels 0 and 1 are nested in both directions", "[tensor_mesh]") {
  for (const Section& section : {stack(), room()}) {
    const TensorMesh fine = make_mesh(section, {}, 0);
    const TensorMesh half = make_mesh(section, {}, 1);
    const TensorMesh quarter = make_mesh(section, {}, 2);
    REQUIRE(fine.x.n() == 2 * half.x.n());
    REQUIRE(fine.y.n() == 2 * half.y.n());
    CHECK(quarter.n_cells() < half.n_cells());
    for (int i = 0; i <= half.x.n(); ++i) {
      CHECK(half.x.at(i) == fine.x.at(2 * i));
    }
    for (int j = 0; j < fine.y.n(); ++j) {
      for (int i = 0; i < fine.x.n(); ++i) {
        CHECK(fine.region[static_cast<std::size_t>(fine.cell(i, j))] ==
              half.region[static_cast<std::size_t>(half.cell(i / 2, j / 2))]);
      }
    }
  }
}

TEST_CASE("Tensor mesh: a mirrored section gives the mirrored mesh", "[tensor_mesh]") {
  const Section section = room();
  Section image = room();
  const auto mirror = [&section](Rectangle& r) {
    const double x0 = r.x0;
    r.x0 = section.width - r.x1;
    r.x1 = section.width - x0;
  };
  for (Solid& part : image.solids) {
    mirror(part.extent);
  }
  mirror(*image.machine);
  mirror(image.openings[0].line);
  const TensorMesh mesh = make_mesh(section, {});
  const TensorMesh mirrored = make_mesh(image, {});
  const int nx = mesh.x.n();
  REQUIRE(mirrored.x.n() == nx);
  REQUIRE(mirrored.y.n() == mesh.y.n());
  for (int i = 0; i <= nx; ++i) {
    CHECK_THAT(mirrored.x.at(i), WithinAbs(section.width - mesh.x.at(nx - i), rounding));
  }
  bool same = true;
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < nx; ++i) {
      same = same && mesh.region[static_cast<std::size_t>(mesh.cell(i, j))] ==
                         mirrored.region[static_cast<std::size_t>(mirrored.cell(nx - 1 - i, j))];
    }
  }
  CHECK(same);
}

TEST_CASE("Tensor mesh: edges a rounding apart are one line", "[tensor_mesh]") {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.solids.push_back(solid("a", {0.02, 0.04, 0.02, 0.04}));
  section.solids.push_back(solid("b", {0.04 + 3e-10, 0.06, 0.04 - 3e-10, 0.06}));
  const TensorMesh mesh = make_mesh(section, {});
  for (int i = 0; i < mesh.x.n(); ++i) {
    CHECK(mesh.x.width(i) > 1e-5);
  }
  CHECK_THAT(area_of_region(mesh, 2), WithinAbs(0.0004, 2.0 * 0.02 * 1e-9));
}

TEST_CASE("Settle: the smallest gap chooses the wall cell, a hairline does not", "[tensor_mesh]") {
  Section section = stack();
  CHECK_THAT(settle(section, {}).wall_cell, WithinRel(0.006 / 8.0, rounding * 1e3));
  CHECK_THAT(settle(section, {}).largest_cell, WithinRel(0.12 / 20.0, rounding));
  section.solids.push_back(solid("lid", {0.0375, 0.0840, 0.0901, 0.095}));
  CHECK_THAT(settle(section, {}).wall_cell, WithinRel(0.006 / 8.0, rounding * 1e3));
  const TensorMesh mesh = make_mesh(section, {});
  CHECK(cells_between(mesh.y, 0.09, 0.0901) >= 8);
  Section box;
  box.width = 1.0;
  box.height = 0.5;
  CHECK_THAT(settle(box, {}).wall_cell, WithinRel(1.0 / 40.0, rounding));
  Resolution wanted;
  wanted.wall_cell = 0.2;
  wanted.largest_cell = 0.1;
  CHECK(settle(box, wanted).wall_cell == 0.1);
}

TEST_CASE("Settle: numbers that make no mesh are refused", "[tensor_mesh]") {
  const Section section = stack();
  Resolution wanted;
  wanted.cells_per_gap = 0;
  CHECK_THROWS_AS(settle(section, wanted), std::invalid_argument);
  wanted = {};
  wanted.growth = 0.8;
  CHECK_THROWS_AS(make_mesh(section, wanted), std::invalid_argument);
  wanted = {};
  wanted.wall_cell = -1.0;
  CHECK_THROWS_AS(settle(section, wanted), std::invalid_argument);
  Section overlapping = stack();
  overlapping.solids[1].extent = overlapping.solids[0].extent;
  CHECK_THROWS_AS(make_mesh(overlapping, {}), MeshError);
}

TEST_CASE("Air regions: a stack leaves the air in one piece", "[tensor_mesh]") {
  const TensorMesh mesh = make_mesh(stack(), {});
  const std::vector<int> labels = air_regions(mesh);
  for (std::size_t c = 0; c < labels.size(); ++c) {
    CHECK(labels[c] == (mesh.region[c] == 0 ? 0 : -1));
  }
}

TEST_CASE("Air regions: pockets that meet only at a corner are apart", "[tensor_mesh]") {
  // Two solids corner to corner cut the box into two pockets.
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.solids.push_back(solid("low", {0.0, 0.05, 0.0, 0.05}));
  section.solids.push_back(solid("high", {0.05, 0.1, 0.05, 0.1}));
  const TensorMesh mesh = make_mesh(section, {});
  const std::vector<int> labels = air_regions(mesh);
  CHECK(std::set<int>(labels.begin(), labels.end()) == std::set<int>{-1, 0, 1});
  for (int j = 0; j < mesh.y.n(); ++j) {
    for (int i = 0; i < mesh.x.n(); ++i) {
      const bool east_half = mesh.x.centre(i) > 0.05;
      const bool north_half = mesh.y.centre(j) > 0.05;
      const int expected = east_half == north_half ? -1 : (east_half ? 0 : 1);
      CHECK(labels[static_cast<std::size_t>(mesh.cell(i, j))] == expected);
    }
  }
}

TEST_CASE("Air regions: a sealed pocket has its own label", "[tensor_mesh]") {
  Section section;
  section.width = 0.1;
  section.height = 0.1;
  section.solids.push_back(solid("floor", {0.03, 0.07, 0.03, 0.035}));
  section.solids.push_back(solid("lid", {0.03, 0.07, 0.065, 0.07}));
  section.solids.push_back(solid("left", {0.03, 0.035, 0.035, 0.065}));
  section.solids.push_back(solid("right", {0.065, 0.07, 0.035, 0.065}));
  const TensorMesh mesh = make_mesh(section, {});
  const std::vector<int> labels = air_regions(mesh);
  const auto label_at = [&](double x, double y) {
    return labels[static_cast<std::size_t>(mesh.cell(cell_at(mesh.x, x), cell_at(mesh.y, y)))];
  };
  CHECK(std::set<int>(labels.begin(), labels.end()) == std::set<int>{-1, 0, 1});
  CHECK(label_at(0.01, 0.01) == 0);
  CHECK(label_at(0.09, 0.09) == 0);
  CHECK(label_at(0.05, 0.05) == 1);
}

TEST_CASE("Mesh: fin media and grilles have their edges on lines, media enough cells",
          "[tensor_mesh]") {
  Section section = room();
  section.media.push_back({"bundle", {0.2223, 0.2523, 0.253, 0.2543}, 4e-3, 1e-3, 200.0});
  section.solids.resize(2); // no drawn fins
  section.grilles.push_back({"sheet", {0.21, 0.33, 0.4077, 0.4077}, 100.0, 5.0});
  for (const int level : {0, 1}) {
    const TensorMesh mesh = make_mesh(section, {}, level);
    const auto is_face = [](const Axis& axis, double position) {
      return std::abs(axis.at(face_at(axis, position)) - position) < rounding;
    };
    CHECK(is_face(mesh.x, 0.2523));
    CHECK(is_face(mesh.y, 0.253));
    CHECK(is_face(mesh.y, 0.2543));
    CHECK(is_face(mesh.y, 0.4077));
    double area = 0.0;
    int count = 0;
    for (int c = 0; c < mesh.n_cells(); ++c) {
      if (mesh.medium_at(c) == 1) {
        area += mesh.x.width(c % mesh.x.n()) * mesh.y.width(c / mesh.x.n());
        count += 1;
        CHECK(mesh.region[static_cast<std::size_t>(c)] == 0);
      }
    }
    CHECK(std::abs(area - 0.03 * 0.0013) < rounding);
    CHECK(count >= (level == 0 ? 144 : 36)); // 12 by 12, half of it each way on level 1
  }
  CHECK(make_mesh(room(), {}).medium.empty());
}

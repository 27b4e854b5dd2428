#include "post/fits/estimate.hpp"
#include "post/fits/groups.hpp"
#include "tests/catch.hpp"

namespace tiltfin::tests {
namespace {

struct Row {
  std::string panel;
  std::string orientation;
  int number = 0;
};

} // namespace

TEST_CASE("Groups: rows that share a key, in order of appearance", "[groups]") {
  const std::vector<Row> rows{
      {"on", "flat-up", 1}, {"on", "upright", 2}, {"off", "flat-up", 3}, {"on", "flat-up", 4}};
  const auto groups = groups_by_placing(rows);
  REQUIRE(groups.size() == 3);
  REQUIRE(groups[0].size() == 2);
  CHECK(groups[0][0]->number == 1);
  CHECK(groups[0][1]->number == 4);
  CHECK(groups[1][0]->number == 2);
  CHECK(groups[2][0]->number == 3);
  const auto panels = groups_by(rows, [](const Row& row) { return row.panel; });
  REQUIRE(panels.size() == 2);
  CHECK(panels[0].size() == 3);
  CHECK(groups_by_placing(std::vector<Row>{}).empty());
}

TEST_CASE("Estimate: error bars that touch leave open which is higher", "[estimate]") {
  CHECK(is_too_close({10.0, 1.0}, {12.0, 1.0}));
  CHECK_FALSE(is_too_close({10.0, 1.0}, {12.5, 1.0}));
  CHECK_FALSE(is_too_close({10.0}, {10.5})); // without bars only equal ones are
  CHECK(is_too_close({10.0}, {10.0}));
}

} // namespace tiltfin::tests

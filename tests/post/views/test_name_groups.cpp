#include "post/views/name_groups.hpp"
#include "tests/catch.hpp"

namespace tiltfin::tests {

TEST_CASE("Name groups: three names or more that count up are told together", "[name_groups]") {
  const auto groups =
      grouped_names({"board", "plate-1", "base", "plate-2", "plate-3", "foot-1", "foot-2"});
  REQUIRE(groups.size() == 5);
  CHECK(groups[1].range() == "plate-1 to plate-3");
  CHECK(groups[1].plural() == "plates");
  CHECK((groups[1].members == std::vector<std::size_t>{1, 3, 4}));
  CHECK(groups[2].range() == "base");
  CHECK(groups[4].range() == "foot-2");
}

} // namespace tiltfin::tests

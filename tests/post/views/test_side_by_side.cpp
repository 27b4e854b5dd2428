#include "post/views/side_by_side.hpp"
#include "tests/catch.hpp"

namespace tiltfin::tests {

TEST_CASE("Side by side: drawings keep their size, whatever stands in them", "[side_by_side]") {
  const auto drawing = [](double width) {
    return Drawing{width, 50.0, "one", R"(<text data-name="a width=&quot;7&quot;">url(#x</text>)"};
  };
  const std::string page =
      svg_file(side_by_side("three gaps", {{"tight", drawing(99.6)}, {"best", drawing(200.0)}}));
  // 100 + 12 + 200, for pages are whole pixels wide; 46 + 26 + 50
  CHECK_THAT(page, ContainsSubstring("width=\"312\" height=\"122\""));
  CHECK_THAT(page, ContainsSubstring("<svg x=\"112\" y=\"72\""));
  CHECK_THAT(page, ContainsSubstring("tight") && ContainsSubstring("three gaps"));
  CHECK_THAT(page, ContainsSubstring(">url(#x</text>")); // text is no name
  CHECK(page.find("<?xml") == page.rfind("<?xml"));
}

} // namespace tiltfin::tests

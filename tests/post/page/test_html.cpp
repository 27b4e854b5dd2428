#include "post/page/html.hpp"
#include "tests/catch.hpp"

#include <string>

namespace tiltfin {

TEST_CASE("Page: text is escaped, its lines are kept where they matter", "[page]") {
  CHECK(paragraph("a < b & \"c\"\n") == "<p>a &lt; b &amp; &quot;c&quot;</p>\n");
  CHECK(paragraph("").empty());
  CHECK(lines_escaped("a\n\t<b>\x01") == "a\n\t&lt;b&gt;\xEF\xBF\xBD"); // U+FFFD, as everywhere
  CHECK(element_name("on, flat-up ~5e") == "on--flat-up--5e");
}

TEST_CASE("Page: JSON in a script ends no script and opens no comment", "[page]") {
  Json json = Json::object();
  json.add("label", "</script><!-- & <script>");
  const std::string text = json_for_script(json);
  CHECK(text.find('<') == std::string::npos);
  CHECK(text.find('>') == std::string::npos);
  CHECK(text.find('&') == std::string::npos);
  CHECK(parse_json(text).at("label").text() == "</script><!-- & <script>");
}

TEST_CASE("Page: an SVG file as an address has nothing that ends an attribute or a fragment",
          "[page]") {
  const std::string address = svg_address("<svg a=\"#b\" c='%'>°&</svg>");
  CHECK(address == "data:image/svg+xml,%3Csvg a=%22%23b%22 c=%27%25%27%3E%C2%B0%26%3C/svg%3E");
}

TEST_CASE("Page: a table escapes cells, numbers stand to the right", "[page]") {
  const std::string html = table_html(
      {.caption = "A <caption>", .head = {"stands", "W"}, .rows = {{"flat-up", "+4.0 ±0.1"}}});
  CHECK(html.find("A &lt;caption&gt;") != std::string::npos);
  CHECK(html.find(R"(<th scope="row">flat-up</th>)") != std::string::npos);
  CHECK(html.find(R"(<td class="n">+4.0 ±0.1</td>)") != std::string::npos);
  CHECK(html.find("data-filter") == std::string::npos);
}

TEST_CASE("Page: csv comes back with its quotes, commas and line breaks", "[page]") {
  const PageTable table = table_of_csv("a,b\n\"x, \"\"y\"\"\nz\",\n1,2");
  CHECK(table.head == std::vector<std::string>{"a", "b"});
  REQUIRE(table.rows.size() == 2);
  CHECK(table.rows[0] == std::vector<std::string>{"x, \"y\"\nz", ""});
  CHECK(table.rows[1] == std::vector<std::string>{"1", "2"});
  CHECK(table_of_csv("").head.empty());
}

TEST_CASE("Page: lists made for the terminal become texts", "[page]") {
  CHECK(unwrapped_items("\nWarnings\n  one goes\n    on\n  two\n") ==
        std::vector<std::string>{"one goes on", "two"});
  CHECK(unwrapped_items("").empty());
}

TEST_CASE("Page: of several tabs one is chosen, a single one needs no button", "[page]") {
  const std::string html = tabs_html("power", "Power", {{"10 W", "<p>a</p>"}, {"20 W", "b"}}, 1);
  CHECK(html.find(R"(id="power-1" checked>)") != std::string::npos);
  CHECK(html.find(R"(id="power-0">)") != std::string::npos);
  CHECK(tabs_html("power", "Power", {{"10 W", "<p>a</p>"}}, 0) == "<p>a</p>");
}

} // namespace tiltfin

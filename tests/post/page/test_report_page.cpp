#include "post/page/assets.hpp"
#include "post/page/report_page.hpp"
#include "tests/catch.hpp"
#include "tests/post/page/page_fixtures.hpp"

#include <string>

namespace tiltfin {
namespace {

using namespace tiltfin::tests;

bool has(const std::string& page, const std::string& text) {
  return page.find(text) != std::string::npos;
}

/// The page without what every page carries.
std::string own_part(const PageFiles& files) {
  const std::string page = report_page(files);
  const std::size_t body = page.find("<body>");
  return page.substr(body, page.find(chart_library()) - body);
}

} // namespace

TEST_CASE("Report page: question, answer, cautions and reasons come in this order", "[page]") {
  const std::string page = own_part(page_files(page_outcomes(), "A cooler"));
  std::size_t last = 0;
  for (const char* id : {"<h1>A cooler</h1>", "id=\"answer\"", "id=\"warnings\"", "id=\"ranking\"",
                         "id=\"why\"", "id=\"pictures\"", "id=\"rise\"", "id=\"heat\"",
                         "id=\"air\"", "id=\"conditions\"", "id=\"notes\"", "id=\"again\""}) {
    INFO(id);
    const std::size_t at = page.find(id);
    REQUIRE(at != std::string::npos);
    CHECK(at > last);
    last = at;
  }
  CHECK(has(page, "when it stands upright"));
  CHECK(has(page, "It takes least flat-up"));
  CHECK(has(page, "less air goes through the cooler"));
  CHECK(has(page, "hot enough to burn"));
  CHECK(has(page, "A note of the case."));
  CHECK(has(page, "title = &quot;x&quot; # &lt;kept&gt;\n\n[limit]"));
  CHECK(has(page, program_version()));
}

TEST_CASE("Report page: what the directory does not hold is not told of", "[page]") {
  const PageFiles files = page_files(page_outcomes(), "A cooler");
  const std::string page = own_part(files);
  for (const char* id : {"levers", "ends", "turn", "compare", "bench", "spacing", "rank"}) {
    INFO(id);
    CHECK_FALSE(has(page, "<section id=\"" + std::string(id) + "\""));
    CHECK_FALSE(has(page, "href=\"#" + std::string(id) + "\""));
  }
  PageFiles more = files;
  more["compare.svg"] = more["bench.svg"] = more["spacing.svg"] = more["rank.svg"] =
      more["pictures/tilts-on.svg"] = small_drawing();
  more["compare.csv"] = "panel,deviation\n<on>,0.5\n";
  const std::string full = own_part(more);
  for (const char* id : {"turn", "compare", "bench", "spacing", "rank"}) {
    INFO(id);
    CHECK(has(full, "<section id=\"" + std::string(id) + "\""));
  }
  CHECK(has(full, "&lt;on&gt;"));
}

TEST_CASE("Report page: a directory of levers alone has a page", "[page]") {
  PageFiles files;
  files["levers.json"] =
      R"({"title": "A cooler", "sentence": "What helps most: this.", "notes": [], "places": [
        {"panel": "on", "orientation": "flat-up", "power_limit_w": 60.0, "power_limit_error_w": 1.0,
         "levers": [{"lever": "panel", "change": "off in place of on", "verdict": "helps",
                     "gain_w": 4.0, "gain_error_w": 1.0, "gain_k": 3.0, "gain_error_k": 1.0,
                     "power_limit_w": 64.0, "power_limit_error_w": 1.0, "rise_k": 30.0,
                     "rise_error_k": 1.0, "status": "converged"},
                    {"lever": "feet", "change": "no surface", "verdict": "not tried",
                     "gain_w": null, "gain_error_w": null, "gain_k": null, "gain_error_k": null,
                     "power_limit_w": null, "power_limit_error_w": null, "rise_k": null,
                     "rise_error_k": null, "status": ""}]}]})";
  const std::string page = own_part(files);
  CHECK(has(page, "<h1>A cooler</h1>"));
  CHECK(has(page, "For flat-up, panel on: panel off in place of on, +4.0 ±1.0 W."));
  CHECK(has(page, "no surface"));
  CHECK_FALSE(has(page, "<section id=\"ranking\""));
}

TEST_CASE("Report page: air through the ends is told of where its file is", "[page]") {
  PageFiles files;
  files["ends.json"] = R"({"title": "A cooler", "sentence": "on, flat-up: 20 to 30 W.",
                           "places": [], "notes": ["Neither is <proved>."]})";
  files["second-plane.svg"] = small_drawing();
  files["ends.csv"] = "panel,upper_w\non,30.25\n";
  const std::string page = own_part(files);
  CHECK(has(page, "<h1>A cooler</h1>"));
  CHECK(has(page, "<section id=\"ends\""));
  CHECK(has(page, "on, flat-up: 20 to 30 W."));
  CHECK(has(page, "30.25"));
  CHECK(has(page, "Neither is &lt;proved&gt;."));
}

TEST_CASE("Report page: marks in a title, panel or warning are text", "[page]") {
  std::vector<Outcome> outcomes = page_outcomes();
  for (Outcome& outcome : outcomes) {
    outcome.panel = "<img src=x onerror=alert(1)>";
  }
  outcomes.front().warnings = {"</script><script>alert(2)</script>"};
  const PageFiles files = page_files(outcomes, "</title><script>alert(3)</script>");
  const std::string page = own_part(files);
  CHECK_FALSE(has(report_page(files), "<script>alert"));
  CHECK_FALSE(has(page, "<img src=x"));
  CHECK(has(page, "&lt;script&gt;alert(3)"));
  // A script begins for every chart, and ends as often (the library's begins where this part ends).
  CHECK(count_of(page, "<script") == count_of(page, "</script>") + 1);
}

TEST_CASE("Report page: every row in doubt is named before the ranking", "[page]") {
  std::vector<Outcome> outcomes = page_outcomes();
  REQUIRE(outcomes.size() == 4);
  outcomes[0].status = SolveStatus::time_average;
  outcomes[1].stability.state = Stability::unstable;
  outcomes[2].expansion_number = 0.2;
  outcomes[3].stability.state = Stability::sways;
  const std::string page = own_part(page_files(outcomes, "A cooler"));
  const std::string doubts = page.substr(0, page.find("<section id=\"ranking\""));
  CHECK(has(doubts, "Means over time: no steady flow was found, or air leaves it. upright: 10 W."));
  CHECK(has(doubts, "Steady flows that real air may leave: disturbances grow. flat-up: 10 W."));
  CHECK(has(doubts, "Steady flows that sway a little. flat-up: 40 W."));
  CHECK(has(doubts, "Boussinesq"));
  CHECK(has(doubts, "on, upright from 40 W"));
}

TEST_CASE("Report page: pictures beyond the page's size are named, not embedded", "[page]") {
  PageFiles files = page_files(page_outcomes(), "A cooler");
  // Three megabytes each: two fit into 6.5.
  const std::string large = small_drawing() + std::string(3000000, 'x');
  files["pictures/on_upright_40w.svg"] = large;
  files["pictures/on_upright_10w.svg"] = large;
  files["pictures/on_upright_20w.svg"] = large;
  files["pictures/on_flat-up_20w.svg"] = small_drawing(); // still fits
  const std::string page = report_page(files);
  CHECK(count_of(page, "<img ") == 4); // three pictures and the static chart of the rise
  CHECK(count_of(page, "<a href=\"pictures/") == 1);
  CHECK(page.size() < 10000000);
  // A sheet stands in the place of single pictures.
  files["sheets/40w.svg"] = small_drawing();
  const std::string with_sheet = report_page(files);
  CHECK(count_of(with_sheet, "<img ") == 2);
  CHECK(has(with_sheet, "on one scale of temperature"));
}

TEST_CASE("Report page: two hundred conditions stay a page", "[page]") {
  std::vector<Outcome> outcomes;
  for (int panel = 0; panel < 25; ++panel) {
    for (Outcome outcome : page_outcomes()) {
      outcome.panel = "panel " + std::to_string(panel);
      outcomes.push_back(outcome);
      outcome.power_w += 1.0;
      outcomes.push_back(outcome);
    }
  }
  const std::string page = own_part(page_files(outcomes, "Many"));
  CHECK(outcomes.size() == 200);
  const std::size_t table = page.find("<caption>Every condition</caption>");
  REQUIRE(table != std::string::npos);
  CHECK(count_of(page.substr(table, page.find("</table>", table) - table), "<th scope=\"row\"") ==
        200);
  CHECK(page.size() < 3000000);
}

TEST_CASE("Report page: nothing is asked for from anywhere", "[page]") {
  const PageFiles files = page_files(page_outcomes(), "A cooler");
  const std::string page = report_page(files);
  CHECK(page == report_page(files));
  CHECK(has(page, "default-src 'none'"));
  const std::string own = own_part(files);
  for (const char* wish : {"src=\"http", "href=\"http", "url(http", "@import", "src=\"//"}) {
    INFO(wish);
    CHECK_FALSE(has(own, wish));
    CHECK_FALSE(has(page_style(), wish));
  }
  CHECK(has(chart_library().substr(0, 300), "MIT License")); // its banner
}

TEST_CASE("Report page: a file that is not what its name says is named", "[page]") {
  PageFiles files = page_files(page_outcomes(), "A cooler");
  files["why.json"] = "{}";
  CHECK_THROWS_WITH(report_page(files), Catch::Matchers::StartsWith("why.json: "));
}

} // namespace tiltfin

#include "post/text/text_file.hpp"
#include "post/views/picture.hpp"
#include "post/views/section_drawing.hpp"
#include "tests/post/fixtures.hpp"
#include "tests/post/views/count.hpp"
#include "tests/scratch.hpp"

#include <cmath>
#include <fstream>
#include <sstream>

namespace tiltfin::tests {
namespace {

/// True when every element is closed in order and '&' only begins an entity.
bool is_well_formed(const std::string& xml) {
  std::vector<std::string> open;
  std::size_t position = xml.find("?>");
  while (true) {
    const std::size_t start = xml.find('<', position);
    const std::string text = xml.substr(position, start - position);
    for (std::size_t k = text.find('&'); k != std::string::npos; k = text.find('&', k + 1)) {
      const std::size_t end = text.find(';', k);
      if (end == std::string::npos || end - k > 5) {
        return false;
      }
    }
    if (start == std::string::npos) {
      return open.empty();
    }
    const std::size_t end = xml.find('>', start);
    const std::string tag = xml.substr(start + 1, end - start - 1);
    if (end == std::string::npos || tag.find('<') != std::string::npos) {
      return false;
    }
    if (tag[0] == '/') {
      if (open.empty() || open.back() != tag.substr(1)) {
        return false;
      }
      open.pop_back();
    } else if (tag.back() != '/') {
      open.push_back(tag.substr(0, tag.find_first_of(" \n")));
    }
    position = end + 1;
  }
}

struct Place {
  double x = 0.0;
  double y = 0.0;
};

/// Middle of the drawn outline of a solid [px], y down.
Place place_of(const std::string& svg, const std::string& solid) {
  const std::size_t found = svg.find("data-name=\"" + solid + "\"");
  REQUIRE(found != std::string::npos);
  const std::size_t start = svg.find(" d=\"M", found) + 5;
  std::string path = svg.substr(start, svg.find('Z', start) - start);
  for (char& c : path) {
    c = c == 'L' ? ' ' : c;
  }
  std::istringstream numbers(path);
  Place sum;
  Place corner;
  int n = 0;
  while (numbers >> corner.x >> corner.y) {
    sum.x += corner.x;
    sum.y += corner.y;
    ++n;
  }
  REQUIRE(n == 4);
  return {sum.x / n, sum.y / n};
}

std::vector<double> numbers_after(const std::string& svg, const std::string& key, int n) {
  const std::size_t found = svg.find(key);
  REQUIRE(found != std::string::npos);
  std::istringstream stream(svg.substr(found + key.size(), 200));
  std::vector<double> numbers(n);
  for (double& number : numbers) {
    stream >> number;
  }
  return numbers;
}

Outcome outcome_for_picture(const std::string& orientation) {
  Outcome outcome;
  outcome.panel = "panel <on> & \"off\"";
  outcome.orientation = orientation;
  outcome.power_w = 10.0;
  outcome.status = SolveStatus::converged;
  outcome.base_rise_mean_k.value = 40.0;
  outcome.base_rise_mean_k.error = 0.5;
  outcome.air_speed_max_m_per_s.value = 0.25;
  return outcome;
}

std::string picture_svg(const Section& section, const Solution& solution, const Outcome& outcome,
                        const PictureStyle& style = {}) {
  return svg_file(picture(section, seen_flow(solution), outcome, style));
}

/// The same with an eddy that fills the section.
Solution moving_solution() {
  Solution solution = small_solution(0.0, -9.8);
  solution.state.psi =
      state_of(
          solution.problem.mesh, [](double x, double y) { return x * (0.08 - x) * y * (0.06 - y); },
          constant(0.0))
          .psi;
  return solution;
}

std::string picture_under(double gravity_x, double gravity_y, const std::string& orientation) {
  return picture_svg(small_cooler(), small_solution(gravity_x, gravity_y),
                     outcome_for_picture(orientation));
}

} // namespace

TEST_CASE("Picture: it is XML and holds what a reader needs", "[picture]") {
  const std::string svg = picture_under(0.0, -9.8, "upright");
  CHECK(is_well_formed(svg));
  for (const char* part :
       {"panel &lt;on&gt; &amp; &quot;off&quot; · upright · 10 W", "base 40.0 ±0.5 K", "0.25 m/s",
        "converged", "data:image/png;base64,iVBORw0KGgo", "class=\"scale-bar\"", " mm</text>",
        "class=\"gravity\"", ">gravity</text>", "class=\"colour-bar\"", ">°C</text>",
        "data-name=\"fin-2\""}) {
    CHECK_THAT(svg, ContainsSubstring(part));
  }
  CHECK_FALSE(is_well_formed("<?xml?><svg><g></svg></g>"));
  CHECK_FALSE(is_well_formed("<?xml?><svg>a & b</svg>"));
}

TEST_CASE("Picture: it may be drawn at the scale of others, and says so", "[picture]") {
  const Solution solution = moving_solution();
  const Outcome outcome = outcome_for_picture("upright");
  const PictureScale own = picture_scale(small_cooler(), seen_flow(solution));
  const std::string svg = picture_svg(small_cooler(), solution, outcome);
  CHECK(picture_svg(small_cooler(), solution, outcome, {.scale = own}) == svg);
  // Up to 226.85 °C, 500 K: its ticks are beyond those of the picture itself.
  REQUIRE(own.hottest < 440.0);
  REQUIRE(own.line_g_per_s > 0.0);
  const PictureScale wider{own.coldest, 500.0, 4.0 * own.line_g_per_s};
  const std::string other =
      picture_svg(small_cooler(), solution, outcome, {.scale = wider, .scale_is = "at 10 W"});
  CHECK_THAT(svg, !ContainsSubstring(">200</text>"));
  CHECK_THAT(other, ContainsSubstring(">200</text>"));
  CHECK_THAT(other, ContainsSubstring("colours and lines: one scale at 10 W"));
  // Lines four times as far apart: their path has far fewer pieces.
  const auto path_of_lines = [](const std::string& all) {
    const std::size_t from = all.find("id=\"lines\" d=\"");
    return all.substr(from, all.find('"', from + 14) - from);
  };
  CHECK(2 * count(path_of_lines(other), "M") < count(path_of_lines(svg), "M"));
}

TEST_CASE("Picture: a mean says over how long it was taken, where that is known", "[picture]") {
  Outcome outcome = outcome_for_picture("upright");
  outcome.status = SolveStatus::time_average;
  CHECK(flow_words(outcome) == "time average");
  outcome.mean_over_s = 12.25;
  CHECK(flow_words(outcome) == "mean over 12.2 s"); // the even of two that are as near
}

TEST_CASE("Picture: all names begin with those wished for", "[picture]") {
  const std::string svg = picture_svg(small_cooler(), small_solution(0.0, -9.8),
                                      outcome_for_picture("upright"), {.names = "d2-"});
  CHECK(is_well_formed(svg));
  int n_names = 0;
  for (const std::string before : {" id=\"", "url(#", "href=\"#"}) {
    for (std::size_t k = svg.find(before); k != std::string::npos; k = svg.find(before, k + 1)) {
      CHECK(svg.compare(k + before.size(), 3, "d2-") == 0);
      ++n_names;
    }
  }
  CHECK(n_names >= 6); // clip path, hatch and scale, each named and used
}

TEST_CASE("Picture: colours begin where the surroundings do, not at an undershoot", "[picture]") {
  Solution solution = small_solution(0.0, -9.8);
  solution.state.temperature[0] = 270.0;
  Section section = small_cooler();
  CHECK(picture_scale(section, seen_flow(solution)).coldest == 270.0); // none is known to be warmer
  section.sides[south] = {SideKind::isothermal, 300.0};
  CHECK(picture_scale(section, seen_flow(solution)).coldest >= 300.0);
}

TEST_CASE("Picture: streamlines are drawn where air flows and only there", "[picture]") {
  const Outcome outcome = outcome_for_picture("upright");
  CHECK(picture_svg(small_cooler(), small_solution(0.0, -9.8), outcome)
            .find("class=\"streamlines\"") == std::string::npos);
  const std::string svg = picture_svg(small_cooler(), moving_solution(), outcome);
  CHECK_THAT(svg, ContainsSubstring("class=\"streamlines\""));
  CHECK_THAT(svg, ContainsSubstring("class=\"flow-direction\""));
  CHECK_THAT(svg, ContainsSubstring("g/s of air between neighbouring lines"));
}

TEST_CASE("Picture: walls of the section are drawn as walls, symmetry and open sides are not",
          "[picture]") {
  Section section = small_cooler();
  const auto n_grounds = [&section] {
    return count(picture_svg(section, small_solution(0.0, -9.8), outcome_for_picture("upright")),
                 "class=\"ground\"");
  };
  section.sides[west].kind = SideKind::symmetry;
  section.sides[north].kind = SideKind::open;
  CHECK(n_grounds() == 2);                             // insulated
  section.machine = Rectangle{0.03, 0.04, 0.02, 0.03}; // what is seen ends before any side
  CHECK(n_grounds() == 0);
}

TEST_CASE("Picture: gravity points down the page", "[picture]") {
  // The far fin, the hot spot on the cooler's side of the board, against the base.
  const std::string upright = picture_under(0.0, -9.8, "upright");
  CHECK(place_of(upright, "fin-2").x > place_of(upright, "base").x + 100.0);
  CHECK_THAT(place_of(upright, "fin-2").y, WithinAbs(place_of(upright, "base").y, 0.02));

  const std::string flat_up = picture_under(-9.8, 0.0, "flat-up");
  CHECK(place_of(flat_up, "fin-2").y < place_of(flat_up, "base").y - 100.0);
  const std::string flat_down = picture_under(9.8, 0.0, "flat-down");
  CHECK(place_of(flat_down, "fin-2").y > place_of(flat_down, "base").y + 100.0);
  const std::string upside_down = picture_under(0.0, 9.8, "upside-down");
  CHECK(place_of(upside_down, "fin-2").x < place_of(upside_down, "base").x - 100.0);

  // Tilted back by 30 degrees the board's normal rises by 30 degrees.
  const double angle = std::acos(-1.0) / 6.0;
  const std::string tilted =
      picture_under(-9.8 * std::sin(angle), -9.8 * std::cos(angle), "tilt-30");
  const Place base = place_of(tilted, "base");
  const Place fin = place_of(tilted, "fin-2");
  // Paths are written to 0.01 px over some hundred px.
  CHECK_THAT((base.y - fin.y) / (fin.x - base.x), WithinRel(std::tan(angle), 1e-3));
}

TEST_CASE("Picture: the map lies under the solids at any turn", "[picture]") {
  for (const Place gravity : {Place{0.0, -9.8}, Place{-9.8, 0.0}, Place{-3.0, -7.0}}) {
    const std::string svg = picture_under(gravity.x, gravity.y, "some");
    // Middle of fin-2 in the image's own axes (right and down from the section's north-west).
    const double width = numbers_after(svg, "<image x=\"0\" y=\"0\" width=\"", 1)[0];
    const double scale = width / 0.08;
    const double x = scale * 0.0625;
    const double y = scale * (0.06 - 0.03);
    const std::vector<double> m = numbers_after(svg, "transform=\"matrix(", 6);
    const Place fin = place_of(svg, "fin-2");
    // Written to 0.001 px, the solids to 0.01 px.
    CHECK_THAT(m[0] * x + m[2] * y + m[4], WithinAbs(fin.x, 0.02));
    CHECK_THAT(m[1] * x + m[3] * y + m[5], WithinAbs(fin.y, 0.02));
  }
}

TEST_CASE("Picture: with a room around it, the machine fills the page", "[picture]") {
  Section section = small_cooler();
  const Solution solution = small_solution(0.0, -9.8);
  const auto distance = [&] {
    const std::string svg = picture_svg(section, solution, outcome_for_picture("upright"));
    return place_of(svg, "fin-2").x - place_of(svg, "base").x;
  };
  const double without = distance();
  section.machine = Rectangle{0.03, 0.06, 0.02, 0.04};
  CHECK(distance() > 1.2 * without);
}

TEST_CASE("Section drawing: solids, sides, mesh and sizes are named", "[picture]") {
  Section section = small_cooler();
  section.sides[west] = {SideKind::isothermal, 298.15, 0.0};
  section.sides[east] = {SideKind::film, 293.15, 8.0};
  section.sides[north] = {SideKind::open, 298.15, 0.0};
  section.solids.push_back(solid_of("fin-3", {0.07, 0.075, 0.01, 0.05}, Role::fin));
  const TensorMesh mesh = mesh_of(section, even_axis(0.08, 32), even_axis(0.06, 24));
  const std::string bare = section_svg(section, nullptr, "A <title>");
  const std::string meshed = section_svg(section, &mesh, "A <title>");
  CHECK(is_well_formed(bare));
  CHECK(is_well_formed(meshed));
  for (const char* part :
       {"A &lt;title&gt;", "west: isothermal, 25 °C", "east: film 8 W/(m² K) to 20 °C",
        "south: insulated", "north: open to 25 °C", "fin-1 to fin-3", "80 mm", "60 mm",
        "board's normal", "data-role=\"base\""}) {
    CHECK_THAT(bare, ContainsSubstring(part));
  }
  CHECK(bare.find("class=\"mesh\"") == std::string::npos);
  CHECK_THAT(meshed, ContainsSubstring("class=\"mesh\""));
  CHECK_THAT(meshed, ContainsSubstring("32 × 24 = 768 cells"));
}

TEST_CASE("Section drawing: a machine in a room is drawn large and in its place", "[picture]") {
  Section section = small_cooler();
  section.machine = Rectangle{0.01, 0.065, 0.01, 0.05};
  section.openings = {{"slot", {0.065, 0.065, 0.02, 0.04}}};
  const std::string svg = section_svg(section, nullptr, "room");
  CHECK(is_well_formed(svg));
  for (const char* part : {"the machine", "the whole section", "55 mm", "80 mm", ">slot</text>"}) {
    CHECK_THAT(svg, ContainsSubstring(part));
  }
}

TEST_CASE("Text: it replaces what stood in the file, or the path is named", "[picture]") {
  const Scratch scratch("text");
  const std::filesystem::path path = scratch / "text.txt";
  write_text(path, "a long first text\n");
  write_text(path, "short\n");
  std::ifstream file(path);
  std::stringstream content;
  content << file.rdbuf();
  CHECK(content.str() == "short\n");

  const std::filesystem::path nowhere = scratch / "no-such-directory" / "a.txt";
  CHECK_THROWS_WITH(write_text(nowhere, "x"),
                    ContainsSubstring(nowhere.string()) && ContainsSubstring("No such file"));
}

} // namespace tiltfin::tests

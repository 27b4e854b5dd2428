// The declared keys of a case file: complete, and what the reader goes by.
#include "cases/file/case.hpp"
#include "cases/file/case_keys.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/catch.hpp"

#include <algorithm>
#include <cstdlib>
#include <functional>
#include <set>
#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

/// Every key below `keys` with its path.
void for_each_key(const KeyTable& keys, const std::string& path,
                  const std::function<void(const std::string&, const Key&)>& take) {
  for (const Key& key : keys) {
    const std::string place = join_path(path, std::string(key.name));
    take(place, key);
    if (key.table != nullptr) {
      for_each_key(*key.table, place, take);
    }
  }
}

const Key& key_at(std::string path) {
  const KeyTable* keys = &case_keys();
  for (std::size_t dot = path.find('.'); dot != std::string::npos; dot = path.find('.')) {
    keys = find_key(*keys, path.substr(0, dot))->table;
    path = path.substr(dot + 1);
  }
  return *find_key(*keys, path);
}

/// "panel" of "case.panel[2]".
std::string without_numbers(std::string path) {
  for (std::size_t open = path.find('['); open != std::string::npos; open = path.find('[')) {
    path.erase(open, path.find(']') + 1 - open);
  }
  return path;
}

} // namespace

TEST_CASE("Keys: each is declared once, says what it means and what it may be", "[case_keys]") {
  std::set<std::string> paths;
  for_each_key(case_keys(), "", [&](const std::string& path, const Key& key) {
    CAPTURE(path);
    CHECK(paths.insert(path).second);
    CHECK_FALSE(key.meaning.empty());
    CHECK_FALSE(allowed_words(key).empty());
    if (const double* number = std::get_if<double>(&key.fallback)) {
      // Written out, a default is the same number: cases that differ in that alone are equal.
      CHECK(std::strtod(fallback_text(key).c_str(), nullptr) == *number);
      CHECK((*number > key.bounds.low || (key.bounds.low_is_allowed && *number == key.bounds.low)));
      CHECK(*number <= key.bounds.high);
    }
    if (const auto* text = std::get_if<std::string_view>(&key.fallback)) {
      CHECK(std::ranges::find(key.options, *text) != key.options.end());
    }
  });
  CHECK(paths.count("room.surface.distance_mm") == 1);
  CHECK(paths.count("bench.log.parts.to_min") == 1);
  CHECK(paths.count("ring.core_diameter_mm") == 1);
}

TEST_CASE("Keys: what a reference of keys says of them", "[case_keys]") {
  CHECK(unit_of("margin_mm") == "mm");
  CHECK(unit_of("temperature_c") == "degrees Celsius");
  CHECK(unit_of("wall_film_w_per_m2k") == "W/(m2 K)");
  CHECK(unit_of("chip_to_base_m2k_per_w") == "m2 K/W");
  CHECK(unit_of("die_to_base_k_per_w") == "K/W");
  CHECK(unit_of("power_w") == "W");
  CHECK(unit_of("fins").empty());
  CHECK(allowed_words(key_at("room.margin_mm")) == "a number from 0 to 100000");
  CHECK(allowed_words(key_at("room.temperature_c")) == "a number from -70 to 250");
  CHECK(allowed_words(key_at("limit.temperature_c")) == "a number above -273.15 and at most 3000");
  CHECK(allowed_words(key_at("stack.plates")) == "a whole number from 1 to 100");
  CHECK(allowed_words(key_at("block.fins_run")) == "across, along");
  CHECK(fallback_text(key_at("block.fins_run")) == "\"across\"");
  CHECK(fallback_text(key_at("case.wall_film_w_per_m2k")) == "8");
  CHECK(fallback_text(key_at("stack.plates")).empty());
  CHECK(key_at("board.bottom_mm").without == "in the middle of the case's height");
}

TEST_CASE("Keys: the defaults that are taken are those that are declared", "[case_keys]") {
  int n_fixed = 0;
  for (const std::string& text : {stack_text, block_text, drawn_text}) {
    for (const std::string& line : parse_case(text, "t.toml").defaults) {
      CAPTURE(line);
      const std::size_t sign = line.find(" = ");
      const std::string path = without_numbers(line.substr(0, sign));
      if (path == "air.properties") { // of all constants together
        continue;
      }
      const std::string fixed = fallback_text(key_at(path));
      if (fixed.empty()) {
        CHECK_FALSE(key_at(path).without.empty());
      } else {
        CHECK(line.substr(sign) == " = " + fixed + " (default)");
        ++n_fixed;
      }
    }
  }
  CHECK(n_fixed > 50); // 62 of 89 lines when this was written
}

TEST_CASE("Case: the cooler that was read is kept", "[case]") {
  const Case stack =
      parse_case(edited(stack_text, "depth_mm", "density_kg_per_m3 = 8900\ndepth_mm"), "t.toml");
  REQUIRE(std::holds_alternative<Stack>(stack.cooler));
  CHECK(std::get<Stack>(stack.cooler).plates == 3);
  CHECK(std::get<Stack>(stack.cooler).first_gap == std::get<Stack>(stack.cooler).plate_gap);
  CHECK(std::get<Stack>(stack.cooler).mount.density == 8900.0);
  const Case block = parse_case(block_text, "t.toml");
  REQUIRE(std::holds_alternative<Block>(block.cooler));
  CHECK_THAT(std::get<Block>(block.cooler).fin_gap, WithinRel(0.006, 1e-12)); // (30 - 4 x 3) / 3
  CHECK_FALSE(std::get<Block>(block.cooler).mount.density.has_value());
  const Case drawn = parse_case(drawn_text, "t.toml");
  REQUIRE(std::holds_alternative<Drawn>(drawn.cooler));
  CHECK(std::get<Drawn>(drawn.cooler).section.solids.size() == 3);
  CHECK(table_of(read_case("cases/ring.toml").cooler) == "ring");
}

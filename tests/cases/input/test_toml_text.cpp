#include "cases/file/solved_text.hpp"
#include "cases/input/toml_text.hpp"
#include "tests/cases/case_texts.hpp"
#include "tests/cases/tiny_case.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

bool is_same(const TomlValue& a, const TomlValue& b) {
  if (a.kind != b.kind || a.text != b.text || a.number != b.number || a.is_whole != b.is_whole ||
      a.flag != b.flag || a.items.size() != b.items.size()) {
    return false;
  }
  for (std::size_t k = 0; k < a.items.size(); ++k) {
    const TomlValue* other = a.kind == TomlValue::Kind::table ? entry(b, a.keys[k]) : &b.items[k];
    if (other == nullptr || !is_same(a.items[k], *other)) {
      return false;
    }
  }
  return true;
}

} // namespace

TEST_CASE("Toml text: what is written reads back as the same tree", "[toml_text]") {
  const std::string odd = "a = \"quote \\\" slash \\\\ tab \\t end\"\nb = 3.0\nc = 3\nd = -1e-300\n"
                          "e = [1, [2.5, \"x\"], {f = true}]\n\"g h\" = 0.1\n[i]\n[i.j]\nk = []\n"
                          "[[l]]\nm = 1\n[[l]]\n[[l.n]]\no = {p = 2, q = [3]}\n";
  std::vector<std::string> texts{odd, stack_text, block_text, drawn_text};
  for (const auto& file : std::filesystem::directory_iterator("cases")) {
    if (file.path().extension() == ".toml") {
      texts.push_back(text_of(file.path()));
    }
  }
  REQUIRE(texts.size() > 8);
  for (const std::string& text : texts) {
    CAPTURE(text.substr(0, 80));
    const TomlValue tree = parse_toml(text, "a.toml");
    CHECK(is_same(tree, parse_toml(toml_text(tree), "b.toml")));
  }
}

TEST_CASE("Toml text: what is solved depends on neither names, logs nor the limit", "[toml_text]") {
  const auto solved = [](const std::string& text, bool with_choice) {
    return text_that_is_solved(parse_toml(text, "a.toml"), with_choice);
  };
  const std::string same = edited(stack_text, "test stack", "renamed") +
                           "density_kg_per_m3 = 2700\n[limit]\ntemperature_c = 80\n"
                           "[bench]\npanel = \"on\"\n[spacing]\nmin_gap_mm = 2\n";
  CHECK(solved(stack_text, true) == solved(same, true));
  const std::string chosen = edited(stack_text, "[30, 10]", "[20]");
  CHECK(solved(stack_text, false) == solved(chosen, false));
  CHECK(solved(stack_text, true) != solved(chosen, true));
  CHECK(solved(stack_text, false) != solved(edited(stack_text, "plates = 3", "plates = 4"), false));
  CHECK(solved(stack_text, false) !=
        solved(stack_text + "[limit]\ndie_to_base_k_per_w = 1\n", false));
}

#include "cases/input/input_error.hpp"
#include "cases/input/toml_tree.hpp"
#include "tests/catch.hpp"

#include <string>

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

std::string repeated(const std::string& piece, int times) {
  std::string text;
  for (int k = 0; k < times; ++k) {
    text += piece;
  }
  return text;
}

std::string depth_refusal(const std::string& text) {
  try {
    (void)parse_toml(text, "t.toml");
  } catch (const InputError& error) {
    return error.what();
  }
  return "";
}

} // namespace

TEST_CASE("TOML depth: keys of many parts and many brackets are refused with their line",
          "[toml_depth]") {
  const std::string parts = "found more than 16 parts of a key, allowed up to 16";
  const std::string deep = repeated("a.", 17500) + "a";
  CHECK(depth_refusal("b = 1\n" + deep + " = 1\n") == "t.toml:2: " + parts);
  CHECK(depth_refusal("[" + repeated("a.", 100000) + "a]\n") == "t.toml:1: " + parts);
  CHECK(depth_refusal("b = { " + deep + " = 1 }\n") == "t.toml:1: " + parts);
  CHECK(depth_refusal("b = [\n{ " + repeated("\"a\" . ", 100000) + "a = 1 }]\n") ==
        "t.toml:2: " + parts);
  CHECK_THAT(depth_refusal("b = " + repeated("[", 100000) + "\n"),
             ContainsSubstring("t.toml:1: found more than 16 brackets in one another"));
  CHECK_THAT(depth_refusal(repeated("a", 100000) + " = 1\n"),
             ContainsSubstring("t.toml:1: found more than 200 bytes of a key's part"));
}

TEST_CASE("TOML depth: dots and brackets in texts and comments do not count", "[toml_depth]") {
  const std::string dots = repeated("[.", 100);
  const std::string text = "# " + dots + "\na = \"" + dots + "\\\"" + dots + "\" # " + dots +
                           "\nb = '" + dots + "'\nc = \"\"\"" + dots + "\n\"" + dots +
                           "\\\n\"\"\"\nd = [\n 1.5, 2.5,\n \"" + repeated("x", 1000) + "\", '''" +
                           dots + "'''\n]\ne.f.g = 1.5\n";
  CHECK(depth_refusal(text) == "");
  CHECK(depth_refusal(text + "[" + dots) == "t.toml:12: found more than 16 brackets in one "
                                            "another, allowed up to 16");
}

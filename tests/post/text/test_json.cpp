#include "post/text/json.hpp"
#include "tests/catch.hpp"

#include <cmath>
#include <limits>

namespace tiltfin::tests {

TEST_CASE("Json: a number that no double holds is refused as what is no JSON is", "[json]") {
  for (const char* text : {"1e999", "[1, -1e400]", "{\"a\": 123456789e9999}"}) {
    CAPTURE(text);
    CHECK_THROWS_AS(parse_json(text), JsonError);
  }
  CHECK(parse_json("1e-999").number() == 0.0);
  CHECK(parse_json("[1e308]").items().front().number() == 1e308);
}

TEST_CASE("Json: keys keep their order, what is no number is null", "[json]") {
  Json part = Json::object();
  part.add("z", 1);
  part.add("a", 2.0);
  Json list = Json::list();
  list.push(Json("one \"two\""));
  list.push(Json(std::nan("")));
  list.push(Json(-std::numeric_limits<double>::infinity()));
  Json object = Json::object();
  object.add("part", std::move(part));
  object.add("list", std::move(list));
  object.add("none", Json::list());
  object.add("no", false);
  object.add("words", std::vector<std::string>{"3 °C"});
  CHECK(json_text(object) == R"({
  "part": {
    "z": 1,
    "a": 2.0
  },
  "list": [
    "one \"two\"",
    null,
    null
  ],
  "none": [],
  "no": false,
  "words": [
    "3 °C"
  ]
}
)");
  CHECK(json_text(parse_json(json_text(object))) == json_text(object));
}

TEST_CASE("Json: numbers come back with all their bits", "[json]") {
  for (const double value : {1.0 / 3.0, 1e-300, -2.5e17, 0.1}) {
    CHECK(parse_json(json_text(Json(value))).number() == value);
  }
  CHECK(parse_json("85").number() == 85.0);
  CHECK(parse_json("9007199254740993").whole_number() == 9007199254740993);
  CHECK(std::isnan(parse_json("null").number()));
}

TEST_CASE("Json: what is not there or of another kind is refused", "[json]") {
  const Json object = parse_json(R"({"a": 1.5, "b": ["x"]})");
  CHECK(object.find("c") == nullptr);
  CHECK_THROWS_WITH(object.at("c"), ContainsSubstring("found no key 'c'"));
  CHECK_THROWS_WITH(object.at("a").text(), ContainsSubstring("found a number, allowed a text"));
  CHECK_THROWS_WITH(object.at("a").whole_number(), ContainsSubstring("allowed a whole number"));
  CHECK_THROWS_WITH(object.at("b").number(), ContainsSubstring("found a list, allowed a number"));
  CHECK_THROWS_WITH(object.at("b").find("a"), ContainsSubstring("allowed an object"));
  CHECK_THROWS_WITH(parse_json("{\"a\": 1"), ContainsSubstring("byte 8"));
  CHECK_THROWS_AS(parse_json(""), JsonError);
}

} // namespace tiltfin::tests

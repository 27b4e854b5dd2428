// Schemas against what is written: every key of a row is in its schema, with its type.

#include "post/reports/summary.hpp"
#include "post/text/json.hpp"
#include "tests/catch.hpp"

using namespace tiltfin;
using namespace tiltfin::tests;

namespace {

bool is_of_type(const Json& value, const std::string& type) {
  const Json::Value& held = value.value();
  return (type == "string" && std::holds_alternative<std::string>(held)) ||
         (type == "boolean" && std::holds_alternative<bool>(held)) ||
         (type == "integer" && std::holds_alternative<std::int64_t>(held)) ||
         (type == "number" &&
          (std::holds_alternative<double>(held) || std::holds_alternative<std::int64_t>(held))) ||
         (type == "null" && std::holds_alternative<std::nullptr_t>(held)) ||
         (type == "array" && std::holds_alternative<Json::List>(held)) ||
         (type == "object" && std::holds_alternative<Json::Object>(held));
}

bool is_of_types(const Json& value, const Json& types) {
  if (std::holds_alternative<std::string>(types.value())) {
    return is_of_type(value, types.text());
  }
  bool any = false;
  for (const Json& type : types.items()) {
    any = any || is_of_type(value, type.text());
  }
  return any;
}

/// Compares a value with its schema, all the way down, and counts what was compared.
int check_value(const Json& value, const Json& schema) {
  int n = 1;
  if (const Json* types = schema.find("type")) {
    CHECK(is_of_types(value, *types));
  }
  if (const Json* words = schema.find("enum")) {
    bool any = false;
    for (const Json& word : words->items()) {
      any = any || word.text() == value.text();
    }
    CHECK(any);
  }
  if (const Json* properties = schema.find("properties")) {
    for (const auto& [key, item] : std::get<Json::Object>(value.value())) {
      CAPTURE(key);
      REQUIRE(properties->find(key) != nullptr);
      n += check_value(item, properties->at(key));
    }
    for (const Json& key : schema.at("required").items()) {
      CAPTURE(key.text());
      CHECK(value.find(key.text()) != nullptr);
    }
  }
  if (const Json* item = schema.find("items")) {
    for (const Json& element : value.items()) {
      n += check_value(element, *item);
    }
  }
  return n;
}

} // namespace

TEST_CASE("Schema: a summary has the keys and types that its schema states", "[schema]") {
  Outcome outcome;
  outcome.panel = "on";
  outcome.orientation = "upright";
  outcome.power_w = 10.0;
  outcome.status = SolveStatus::converged;
  outcome.base_rise_mean_k.value = 12.0;
  outcome.gaps.emplace_back();
  outcome.solids.emplace_back();
  outcome.heat.emplace_back();
  outcome.warnings = {"a sentence"};
  const std::vector<Outcome> outcomes{outcome};
  ReportContext context;
  context.notes = {"a note"};
  const Json summary = parse_json(summary_json(outcomes, make_trends(outcomes, context), context));
  const Json schema = parse_json(summary_schema());
  CHECK(check_value(summary, schema) > 100);
  CHECK(summary.at("summary_version").whole_number() ==
        schema.at("properties").at("summary_version").at("const").whole_number());
}

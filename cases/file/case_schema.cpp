#include "cases/file/case_schema.hpp"

#include "cases/file/case_keys.hpp"
#include "cases/input/keys.hpp"
#include "post/text/schema.hpp"

#include <fmt/format.h>

#include <cmath>
#include <utility>
#include <variant>

namespace tiltfin {
namespace {

Json schema_of_table(const KeyTable& keys);

/// A number within its bounds, or any text where the key has words of its own.
Json schema_of_single(const Key& key) {
  if (!key.options.empty()) {
    return schema_of_words(key.options);
  }
  if (!key.allowed.empty()) { // in words: more than one kind, or what no schema can say
    return Json::object();
  }
  Json schema = schema_of_type(key.bounds.is_whole ? "integer" : "number");
  if (std::isfinite(key.bounds.low)) {
    schema.add(key.bounds.low_is_allowed ? "minimum" : "exclusiveMinimum", key.bounds.low);
  }
  if (std::isfinite(key.bounds.high)) {
    schema.add("maximum", key.bounds.high);
  }
  return schema;
}

Json schema_of_key(const Key& key) {
  Json schema = Json::object();
  if (key.table != nullptr) {
    schema =
        key.is_list ? schema_of_list(schema_of_table(*key.table)) : schema_of_table(*key.table);
  } else {
    const Json single =
        schema_of_single(key); // a key's bounds and words are those of a list's, too
    Json either = Json::list();
    either.push(single);
    either.push(schema_of_list(single));
    schema.add("anyOf", std::move(either));
  }
  std::string meaning = key.meaning;
  if (!unit_of(key.name).empty()) {
    meaning += fmt::format(" [{}]", unit_of(key.name));
  }
  if (key.table == nullptr) {
    meaning += fmt::format("; {}", allowed_words(key));
  }
  if (!key.without.empty()) {
    meaning += fmt::format("; without it: {}", key.without);
  }
  schema.add("description", meaning);
  if (const double* number = std::get_if<double>(&key.fallback)) {
    schema.add("default", *number);
  } else if (const auto* text = std::get_if<std::string_view>(&key.fallback)) {
    schema.add("default", std::string(*text));
  }
  return schema;
}

Json schema_of_table(const KeyTable& keys) {
  Json properties = Json::object();
  for (const Key& key : keys) {
    properties.add(key.name, schema_of_key(key));
  }
  Json schema = schema_of_type("object");
  schema.add("properties", std::move(properties));
  schema.add("additionalProperties", false);
  return schema;
}

} // namespace

std::string case_schema() {
  Json table = schema_of_table(case_keys());
  table.add("required", std::vector<std::string>{"conditions"});
  return schema_file("Case file of tiltfin", table);
}

} // namespace tiltfin

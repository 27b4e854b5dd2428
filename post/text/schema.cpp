#include "post/text/schema.hpp"

#include <utility>

namespace tiltfin {

Json schema_of_type(const std::string& type) {
  Json schema = Json::object();
  schema.add("type", type);
  return schema;
}

Json schema_of_words(const std::vector<std::string>& words) {
  Json schema = Json::object();
  schema.add("enum", words);
  return schema;
}

Json schema_of_list(Json item) {
  Json schema = schema_of_type("array");
  schema.add("items", std::move(item));
  return schema;
}

Json schema_of_object(Json properties, const std::vector<std::string>& required) {
  Json schema = schema_of_type("object");
  schema.add("properties", std::move(properties));
  schema.add("required", required);
  return schema;
}

std::string schema_file(const std::string& title, const Json& object) {
  Json schema = Json::object();
  schema.add("$schema", "https://json-schema.org/draft/2020-12/schema");
  schema.add("title", title);
  for (const auto& [key, value] : std::get<Json::Object>(object.value())) {
    schema.add(key, value);
  }
  return json_text(schema);
}

Json schema_value(double /*number*/) {
  Json schema = Json::object();
  schema.add("type", std::vector<std::string>{"number", "null"});
  return schema;
}

} // namespace tiltfin

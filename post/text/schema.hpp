#pragma once
// A JSON schema (draft 2020-12) of any row type, from the same list of its columns that writes and
// reads it (columns.hpp): what a file holds and what its schema says cannot differ.

#include "post/text/columns.hpp"

#include <optional>
#include <string>
#include <vector>

namespace tiltfin {

[[nodiscard]] Json schema_of_type(const std::string& type);

/// One of these words.
[[nodiscard]] Json schema_of_words(const std::vector<std::string>& words);

[[nodiscard]] Json schema_of_list(Json item);

/// An object; `required` are keys that are always there. Others may be added by later versions.
[[nodiscard]] Json schema_of_object(Json properties, const std::vector<std::string>& required);

/// The text of a schema of its own: an object's, with its title.
[[nodiscard]] std::string schema_file(const std::string& title, const Json& object);

/// A number, or null where it is not known.
[[nodiscard]] Json schema_value(double);
[[nodiscard]] inline Json schema_value(bool) {
  return schema_of_type("boolean");
}
[[nodiscard]] inline Json schema_value(int) {
  return schema_of_type("integer");
}
[[nodiscard]] inline Json schema_value(long long) {
  return schema_of_type("integer");
}
[[nodiscard]] inline Json schema_value(const std::string&) {
  return schema_of_type("string");
}
[[nodiscard]] inline Json schema_value(const char*) {
  return schema_of_type("string");
}
[[nodiscard]] inline Json schema_value(const std::vector<std::string>&) {
  return schema_of_list(schema_of_type("string"));
}
template <Worded T>
[[nodiscard]] std::vector<std::string> all_words() {
  std::vector<std::string> words;
  for (int k = 0; k <= static_cast<int>(last_value<T>); ++k) {
    words.emplace_back(name(static_cast<T>(k)));
  }
  return words;
}
template <Worded T>
[[nodiscard]] Json schema_value(const T&) {
  return schema_of_words(all_words<T>());
}
template <Worded T>
[[nodiscard]] Json schema_value(const std::optional<T>&) {
  std::vector<std::string> words = all_words<T>();
  words.emplace_back("");
  return schema_of_words(words);
}
template <Nested T>
[[nodiscard]] Json schema_value(const T& row);
template <Nested T>
[[nodiscard]] Json schema_value(const std::vector<T>&) {
  return schema_of_list(schema_value(T{}));
}

/// What rows are visited with.
struct SchemaWriter {
  Json& properties;
  std::vector<std::string>& required;
  template <class T>
  void operator()(const char* key, const T& value, In in = In::both) const {
    if (in != In::csv) {
      properties.add(key, schema_value(value));
      required.emplace_back(key);
    }
  }
  /// An optional row that is not there leaves no key.
  template <Nested T>
  void operator()(const char* key, const std::optional<T>&, In in = In::both) const {
    if (in != In::csv) {
      properties.add(key, schema_value(T{}));
    }
  }
};

template <Nested T>
Json schema_value(const T& row) {
  Json properties = Json::object();
  std::vector<std::string> required;
  visit_members(row, SchemaWriter{properties, required});
  return schema_of_object(std::move(properties), required);
}

} // namespace tiltfin

#include "post/text/json.hpp"

#include <nlohmann/json.hpp>

#include <algorithm>
#include <limits>

namespace tiltfin {
namespace {

using Library = nlohmann::ordered_json;

Library to_library(const Json& json) {
  return std::visit(
      [](const auto& value) -> Library {
        using T = std::decay_t<decltype(value)>;
        if constexpr (std::is_same_v<T, Json::List>) {
          Library list = Library::array();
          for (const Json& item : value) {
            list.push_back(to_library(item));
          }
          return list;
        } else if constexpr (std::is_same_v<T, Json::Object>) {
          Library object = Library::object();
          for (const auto& [key, item] : value) {
            object[key] = to_library(item);
          }
          return object;
        } else {
          return value;
        }
      },
      json.value());
}

Json from_library(const Library& value) {
  if (value.is_boolean()) {
    return Json(value.get<bool>());
  }
  if (value.is_number_integer()) {
    return Json(Json::Value(value.get<std::int64_t>()));
  }
  if (value.is_number()) {
    return Json(value.get<double>());
  }
  if (value.is_string()) {
    return Json(value.get<std::string>());
  }
  if (value.is_array()) {
    Json list = Json::list();
    for (const Library& item : value) {
      list.push(from_library(item));
    }
    return list;
  }
  if (value.is_object()) {
    Json object = Json::object();
    for (const auto& [key, item] : value.items()) {
      object.add(key, from_library(item));
    }
    return object;
  }
  return Json();
}

/// What a value is, for refusals.
const char* kind_of(const Json& json) {
  constexpr const char* kinds[] = {"null",   "true or false", "a whole number", "a number",
                                   "a text", "a list",        "an object"};
  return kinds[json.value().index()];
}

template <class T>
const T& as(const Json& json, const char* wanted) {
  if (const T* value = std::get_if<T>(&json.value())) {
    return *value;
  }
  throw JsonError(std::string("found ") + kind_of(json) + ", allowed " + wanted);
}

} // namespace

Json::Json() : value_(nullptr) {}
Json::Json(bool value) : value_(value) {}
Json::Json(int value) : value_(std::int64_t{value}) {}
Json::Json(long long value) : value_(std::int64_t{value}) {}
Json::Json(double value) : value_(value) {}
Json::Json(const char* text) : value_(std::string(text)) {}
Json::Json(std::string text) : value_(std::move(text)) {}
Json::Json(const std::vector<std::string>& texts) : value_(List{}) {
  for (const std::string& text : texts) {
    push(Json(text));
  }
}
Json::Json(Value value) : value_(std::move(value)) {}

// Here and not in the header, where each user would compile them anew.
// Not by copying the variant: where memory runs out halfway, gcc's (up to 13) destroys what it has
// not made.
Json::Json(const Json& other) : value_(nullptr) {
  std::visit([this](const auto& value) { value_ = value; }, other.value_);
}
Json::Json(Json&& other) noexcept = default;
Json& Json::operator=(const Json& other) = default;
Json& Json::operator=(Json&& other) noexcept = default;
Json::~Json() = default;

Json Json::object() {
  return Json(Value(Object{}));
}

Json Json::list() {
  return Json(Value(List{}));
}

void Json::add(std::string key, Json value) {
  std::get<Object>(value_).emplace_back(std::move(key), std::move(value));
}

void Json::push(Json value) {
  std::get<List>(value_).push_back(std::move(value));
}

const Json* Json::find(const std::string& key) const {
  const Object& object = as<Object>(*this, "an object");
  const auto found = std::ranges::find(object, key, &Object::value_type::first);
  return found == object.end() ? nullptr : &found->second;
}

const Json& Json::at(const std::string& key) const {
  if (const Json* found = find(key)) {
    return *found;
  }
  throw JsonError("found no key '" + key + "'");
}

bool Json::flag() const {
  return as<bool>(*this, "true or false");
}

double Json::number() const {
  if (std::holds_alternative<std::nullptr_t>(value_)) {
    return std::numeric_limits<double>::quiet_NaN();
  }
  if (const auto* whole = std::get_if<std::int64_t>(&value_)) {
    return static_cast<double>(*whole);
  }
  return as<double>(*this, "a number or null");
}

std::int64_t Json::whole_number() const {
  return as<std::int64_t>(*this, "a whole number");
}

const std::string& Json::text() const {
  return as<std::string>(*this, "a text");
}

const Json::List& Json::items() const {
  return as<List>(*this, "a list");
}

std::string json_text(const Json& json) {
  return to_library(json).dump(2, ' ', false, Library::error_handler_t::replace) + "\n";
}

Json parse_json(const std::string& text) {
  constexpr int deepest = 64; // ours nest six deep; walks over the tree recurse
  const auto check_depth = [](int depth, Library::parse_event_t, const Library&) {
    if (depth > deepest) {
      throw JsonError("found more than " + std::to_string(deepest) +
                      " lists and objects in one another, allowed up to as many");
    }
    return true;
  };
  try {
    return from_library(Library::parse(text, check_depth));
  } catch (const Library::parse_error& error) {
    throw JsonError("no JSON from byte " + std::to_string(error.byte) + " of " +
                    std::to_string(text.size()));
  } catch (const Library::out_of_range&) { // all that it means in a text
    throw JsonError("found a number beyond 1e308, allowed numbers that a double holds");
  }
}

} // namespace tiltfin

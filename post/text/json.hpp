#pragma once
// JSON as a tree of values, written and read. json.cpp alone sees the library that does both.

#include <cstdint>
#include <stdexcept>
#include <string>
#include <utility>
#include <variant>
#include <vector>

namespace tiltfin {

/// A text that is no JSON, or JSON that does not hold what was looked for: what and where.
struct JsonError : std::runtime_error {
  using std::runtime_error::runtime_error;
};

/// A null, truth value, number, text, list, or object whose keys keep their order.
class Json {
public:
  using List = std::vector<Json>;
  using Object = std::vector<std::pair<std::string, Json>>;
  using Value = std::variant<std::nullptr_t, bool, std::int64_t, double, std::string, List, Object>;

  Json();
  explicit Json(bool value);
  explicit Json(int value);
  explicit Json(long long value);
  explicit Json(double value); ///< NaN and infinity are written as null
  explicit Json(const char* text);
  explicit Json(std::string text);
  explicit Json(const std::vector<std::string>& texts);
  explicit Json(Value value);
  Json(const Json& other);
  Json(Json&& other) noexcept;
  Json& operator=(const Json& other);
  Json& operator=(Json&& other) noexcept;
  ~Json();

  [[nodiscard]] static Json object();
  [[nodiscard]] static Json list();

  /// Adds to an object; the key must be new in it.
  void add(std::string key, Json value);
  template <class T>
  void add(std::string key, const T& value) {
    add(std::move(key), Json(value));
  }
  /// Adds to a list.
  void push(Json value);

  /// The value of an object's key; null: it has none. Throws JsonError unless this is an object.
  [[nodiscard]] const Json* find(const std::string& key) const;
  /// Throws JsonError, with the key, where there is none.
  [[nodiscard]] const Json& at(const std::string& key) const;

  /// What this is, JsonError when it is something else. `number` reads null as NaN.
  [[nodiscard]] bool flag() const;
  [[nodiscard]] double number() const;
  [[nodiscard]] std::int64_t whole_number() const;
  [[nodiscard]] const std::string& text() const;
  [[nodiscard]] const List& items() const;

  [[nodiscard]] const Value& value() const { return value_; }

private:
  Value value_;
};

/// As a file: indented, ended by a line break; bytes that are no UTF-8 are replaced.
[[nodiscard]] std::string json_text(const Json& json);

/// Throws JsonError with the place where the text is no JSON.
[[nodiscard]] Json parse_json(const std::string& text);

} // namespace tiltfin

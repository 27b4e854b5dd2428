#pragma once
// Tables and JSON of any row type from one list of its columns. A row type has a function template
//
//   template <RowOf<Soak> Row, class Visit>
//   void visit_members(Row& row, const Visit& visit) {
//     visit("power_w", row.power_w);              // a column: its name with the unit, its value
//     visit("n_means", row.n_means, In::csv);     // one that the csv file alone shows
//   }
//
// and here is what it is visited with: header, cells, JSON and JSON read back. Values are numbers,
// truth values ("yes" and "no" in csv), texts and enums with their words (`name(value)`); an
// optional one that is not there is an empty cell, and an empty text in JSON.

#include "post/text/json.hpp"
#include "post/text/table_text.hpp"

#include <concepts>
#include <optional>
#include <string>
#include <type_traits>
#include <vector>

namespace tiltfin {

/// The files that show a column.
enum class In { both, csv, json };

/// Row itself or const Row: one visit_members writes and reads.
template <class T, class Row>
concept RowOf = std::same_as<std::remove_const_t<T>, Row>;

struct JsonWriter;
template <class Row>
[[nodiscard]] Json row_json(const Row& row);
template <class Rows>
[[nodiscard]] Json rows_json(const Rows& rows);
template <class Row>
[[nodiscard]] std::vector<Row> rows_from_json(const Json& list);

/// An enum that has a word for each value.
template <class T>
concept Worded = std::is_enum_v<T> && requires(T value) {
  { name(value) } -> std::convertible_to<const char*>;
};

/// The word of an optional value, "" where there is none.
template <Worded T>
[[nodiscard]] const char* name_or_nothing(const std::optional<T>& value) {
  return value ? name(*value) : "";
}

/// The last value of an enum that is read back; to be specialised beside it.
template <Worded T>
inline constexpr T last_value = T{};

// Cells of csv files.
[[nodiscard]] inline std::string csv_cell(double value) {
  return csv_value(value);
}
[[nodiscard]] inline std::string csv_cell(bool value) {
  return value ? "yes" : "no";
}
[[nodiscard]] std::string csv_cell(long long value);
[[nodiscard]] inline std::string csv_cell(int value) {
  return csv_cell(static_cast<long long>(value));
}
[[nodiscard]] inline std::string csv_cell(const std::string& text) {
  return csv_text(text);
}
[[nodiscard]] inline std::string csv_cell(const char* text) {
  return csv_text(text);
}
template <Worded T>
[[nodiscard]] std::string csv_cell(T value) {
  return csv_text(name(value));
}
template <class T>
[[nodiscard]] std::string csv_cell(const std::optional<T>& value) {
  return value ? csv_cell(*value) : "";
}

/// A row type: as a member of another it is an object in JSON and no column of csv files; so are
/// lists of it.
template <class T>
concept Nested = requires(const T& row, const JsonWriter& visit) {
  visit_members(row, visit);
};

/// Anything csv files show in one cell.
template <class T>
inline constexpr bool has_cell = !Nested<T>;
template <class T>
inline constexpr bool has_cell<std::vector<T>> = false;
template <Nested T>
inline constexpr bool has_cell<std::optional<T>> = false;

// Values of JSON files.
template <class T>
[[nodiscard]] Json json_value(const T& value) {
  return Json(value);
}
template <Nested T>
[[nodiscard]] Json json_value(const T& row) {
  return row_json(row);
}
template <Nested T>
[[nodiscard]] Json json_value(const std::vector<T>& rows) {
  return rows_json(rows);
}
template <Worded T>
[[nodiscard]] Json json_value(const T& value) {
  return Json(name(value));
}
template <class T>
[[nodiscard]] Json json_value(const std::optional<T>& value) {
  return value ? json_value(*value) : Json("");
}

// Values of JSON files read back; JsonError for what they cannot be.
inline void read_value(const Json& json, double& value) {
  value = json.number();
}
void read_value(const Json& json, int& value);
inline void read_value(const Json& json, bool& value) {
  value = json.flag();
}
inline void read_value(const Json& json, std::string& value) {
  value = json.text();
}
void read_value(const Json& json, std::vector<std::string>& texts);

/// Refuses a word that is none of `allowed`.
[[noreturn]] void refuse_word(const std::string& found, const std::vector<std::string>& allowed);

template <Worded T>
void read_value(const Json& json, T& value) {
  std::vector<std::string> words;
  for (int k = 0; k <= static_cast<int>(last_value<T>); ++k) {
    value = static_cast<T>(k);
    words.emplace_back(name(value));
    if (json.text() == words.back()) {
      return;
    }
  }
  refuse_word(json.text(), words);
}
template <class T>
void read_value(const Json& json, std::optional<T>& value) {
  value.reset();
  if (!json.text().empty()) {
    read_value(json, value.emplace());
  }
}

template <Nested Row>
void read_value(const Json& json, std::vector<Row>& rows) {
  rows = rows_from_json<Row>(json);
}

// What rows are visited with.
struct HeadWriter {
  std::vector<std::string>& cells;
  template <class T>
  void operator()(const char* key, const T&, In in = In::both) const {
    if (has_cell<T> && in != In::json) {
      cells.push_back(csv_text(key));
    }
  }
};

struct CellWriter {
  std::vector<std::string>& cells;
  template <class T>
  void operator()(const char*, const T& value, In in = In::both) const {
    if constexpr (has_cell<T>) {
      if (in != In::json) {
        cells.push_back(csv_cell(value));
      }
    }
  }
};

struct JsonWriter {
  Json& object;
  template <class T>
  void operator()(const char* key, const T& value, In in = In::both) const {
    if (in != In::csv) {
      object.add(key, json_value(value));
    }
  }
  /// An optional row that is not there leaves no key.
  template <Nested T>
  void operator()(const char* key, const std::optional<T>& row, In in = In::both) const {
    if (row) {
      (*this)(key, *row, in);
    }
  }
};

struct JsonReader {
  const Json& object;
  template <class T>
  void operator()(const char* key, T& value, In = In::both) const {
    const Json& found = object.at(key);
    try {
      read_value(found, value);
    } catch (const JsonError& error) {
      throw JsonError("key '" + std::string(key) + "': " + error.what());
    }
  }
};

/// Names of a row's columns, and its cells, in the same order.
template <class Row>
[[nodiscard]] std::vector<std::string> head_of(const Row& row) {
  std::vector<std::string> cells;
  visit_members(row, HeadWriter{cells});
  return cells;
}
template <class Row>
[[nodiscard]] std::vector<std::string> cells_of(const Row& row) {
  std::vector<std::string> cells;
  visit_members(row, CellWriter{cells});
  return cells;
}

/// A csv file of rows (a span or vector of them), its head first.
template <class Rows>
[[nodiscard]] std::string csv_table(const Rows& rows) {
  std::string text = csv_line(head_of(typename Rows::value_type{}));
  for (const auto& row : rows) {
    text += csv_line(cells_of(row));
  }
  return text;
}

template <class Row>
[[nodiscard]] Json row_json(const Row& row) {
  Json object = Json::object();
  visit_members(row, JsonWriter{object});
  return object;
}
template <class Rows>
[[nodiscard]] Json rows_json(const Rows& rows) {
  Json list = Json::list();
  for (const auto& row : rows) {
    list.push(row_json(row));
  }
  return list;
}

template <class Row>
[[nodiscard]] Row row_from_json(const Json& object) {
  Row row;
  visit_members(row, JsonReader{object});
  return row;
}
template <class Row>
[[nodiscard]] std::vector<Row> rows_from_json(const Json& list) {
  std::vector<Row> rows;
  for (const Json& object : list.items()) {
    rows.push_back(row_from_json<Row>(object));
  }
  return rows;
}

} // namespace tiltfin

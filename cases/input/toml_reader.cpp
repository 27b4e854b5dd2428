#include "cases/input/toml_reader.hpp"

#include "post/text/printable.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <cctype>
#include <iterator>
#include <limits>
#include <numeric>
#include <stdexcept>
#include <utility>
#include <variant>

namespace tiltfin {
namespace {

/// On one line, and cut where people stop to read.
std::string shortened(std::string text) {
  constexpr std::size_t longest = 100;
  if (text.size() > longest) {
    text = text.substr(0, longest) + "...";
  }
  std::ranges::replace(text, '\n', ' ');
  return text;
}

int edit_distance(const std::string& a, const std::string& b) {
  std::vector<int> row(b.size() + 1);
  std::iota(row.begin(), row.end(), 0);
  for (std::size_t i = 0; i < a.size(); ++i) {
    int diagonal = std::exchange(row[0], static_cast<int>(i) + 1);
    for (std::size_t j = 0; j < b.size(); ++j) {
      const int change = diagonal + (a[i] == b[j] ? 0 : 1);
      diagonal = row[j + 1];
      row[j + 1] = std::min({change, diagonal + 1, row[j] + 1});
    }
  }
  return row.back();
}

std::string in_single_quotes(const std::string& word) {
  return fmt::format("'{}'", word);
}

bool is_same_letter(char a, char b) {
  return std::tolower(static_cast<unsigned char>(a)) == std::tolower(static_cast<unsigned char>(b));
}

/// "'a-word', 'b-word' or 'c-word'"; empty when there is none or `word` is too short to tell.
std::string all_that_hold(const std::string& word, std::span<const std::string> known) {
  constexpr std::size_t fewest_letters = 3;
  std::vector<std::string> holding;
  for (const std::string& candidate : known) {
    if (word.size() >= fewest_letters &&
        std::search(candidate.begin(), candidate.end(), word.begin(), word.end(), is_same_letter) !=
            candidate.end()) {
      holding.push_back(in_single_quotes(candidate));
    }
  }
  if (holding.size() < 2) {
    return holding.empty() ? std::string() : holding.front();
  }
  const std::string last = holding.back();
  holding.pop_back();
  return fmt::format("{} or {}", fmt::join(holding, ", "), last);
}

/// The unknown key that stands first in the file is refused.
void refuse_unknown(const TomlTable& table) {
  const TomlValue& value = *table.value;
  const std::vector<std::string> known = names_of(*table.keys);
  int first = -1;
  int line = std::numeric_limits<int>::max();
  for (std::size_t k = 0; k < value.keys.size(); ++k) {
    const bool is_known = std::ranges::find(known, value.keys[k]) != known.end();
    if (!is_known && value.items[k].line < line) {
      first = static_cast<int>(k);
      line = value.items[k].line;
    }
  }
  if (first >= 0) {
    const std::string& key = value.keys[static_cast<std::size_t>(first)];
    refuse_at(table.file, line, join_path(table.path, key), "a key that is not known here",
              fmt::format("{}; nearest known key {}", join(known), nearest(key, known)));
  }
}

/// How `key` is declared.
const Key& declared(const TomlTable& table, const std::string& key) {
  const Key* found = find_key(*table.keys, key);
  if (found == nullptr) {
    throw std::logic_error("key " + join_path(table.path, key) + " is read but not declared");
  }
  return *found;
}

const KeyTable& keys_below(const TomlTable& parent, const std::string& key) {
  const Key& found = declared(parent, key);
  if (found.table == nullptr) {
    throw std::logic_error("key " + join_path(parent.path, key) + " is not declared as a table");
  }
  return *found.table;
}

/// The value at `key` that is declared for it when none is given; null when there is none.
template <typename Value>
const Value* fallback_of(const TomlTable& table, const std::string& key) {
  return std::get_if<Value>(&declared(table, key).fallback);
}

/// `item` as a table that stands at `path`.
TomlTable open_table(const TomlTable& parent, const std::string& path, const TomlValue& item,
                     const KeyTable& keys) {
  TomlTable table{parent.file, path, &item, item.line, parent.defaults, &keys};
  if (item.kind != TomlValue::Kind::table) {
    refuse_at(table.file, item.line, path, show(item), "a table");
  }
  refuse_unknown(table);
  return table;
}

const TomlValue& needed_list(const TomlTable& table, const std::string& key,
                             const std::string& allowed) {
  const TomlValue& value = needed(table, key, allowed);
  if (value.kind != TomlValue::Kind::list) {
    refuse(table, key, show(value), allowed);
  }
  return value;
}

} // namespace

TomlTable top_table(const TomlValue& root, const std::string& file,
                    std::vector<std::string>& defaults, const KeyTable& keys) {
  return open_table({file, "", &root, 1, &defaults, &keys}, "", root, keys);
}

TomlTable table_at(const TomlTable& parent, const std::string& key) {
  const KeyTable& keys = keys_below(parent, key);
  const std::string path = join_path(parent.path, key);
  const TomlValue* item = find(parent, key);
  if (item == nullptr) {
    return {parent.file, path, nullptr, parent.line, parent.defaults, &keys};
  }
  return open_table(parent, path, *item, keys);
}

TomlTable needed_table(const TomlTable& parent, const std::string& key) {
  (void)needed(parent, key, "a table with " + join(names_of(keys_below(parent, key))));
  return table_at(parent, key);
}

std::vector<TomlTable> tables_at(const TomlTable& parent, const std::string& key) {
  const KeyTable& keys = keys_below(parent, key);
  const TomlValue* list = find(parent, key);
  if (list == nullptr) {
    return {};
  }
  const std::string path = join_path(parent.path, key);
  if (list->kind != TomlValue::Kind::list) {
    refuse(parent, key, show(*list), fmt::format("tables written as [[{}]]", path));
  }
  std::vector<TomlTable> tables;
  for (const TomlValue& item : list->items) {
    tables.push_back(
        open_table(parent, fmt::format("{}[{}]", path, tables.size() + 1), item, keys));
  }
  return tables;
}

const TomlValue* find(const TomlTable& table, std::string_view key) {
  if (table.value == nullptr) {
    return nullptr;
  }
  const std::vector<std::string>& keys = table.value->keys;
  const auto place = std::ranges::find(keys, key);
  return place == keys.end() ? nullptr
                             : &table.value->items[static_cast<std::size_t>(place - keys.begin())];
}

const TomlValue& needed(const TomlTable& table, std::string_view key, std::string_view allowed) {
  const TomlValue* value = find(table, key);
  if (value == nullptr) {
    refuse(table, std::string(key), "nothing", std::string(allowed));
  }
  return *value;
}

double number_in(const TomlTable& table, const std::string& key, const TomlValue& item,
                 const Bounds& bounds) {
  if (item.kind != TomlValue::Kind::number || !is_within(bounds, item.number)) {
    refuse(table, key, show(item), in_words(bounds));
  }
  return item.number;
}

double number(const TomlTable& table, const std::string& key) {
  const double* fallback = fallback_of<double>(table, key);
  if (fallback != nullptr && find(table, key) == nullptr) {
    note_default(table, key, show(*fallback));
    return *fallback;
  }
  const Bounds& bounds = declared(table, key).bounds;
  return number_in(table, key, needed(table, key, in_words(bounds)), bounds);
}

int whole_number(const TomlTable& table, const std::string& key) {
  const double* fallback = fallback_of<double>(table, key);
  if (fallback != nullptr && find(table, key) == nullptr) {
    note_default(table, key, show(*fallback));
    return static_cast<int>(*fallback);
  }
  return whole_number(table, key, declared(table, key).bounds);
}

int whole_number(const TomlTable& table, const std::string& key, const Bounds& bounds) {
  const TomlValue& value = needed(table, key, in_words(bounds));
  if (!value.is_whole || !is_within(bounds, value.number)) {
    refuse(table, key, show(value), in_words(bounds));
  }
  return static_cast<int>(value.number);
}

double length(const TomlTable& table, const std::string& key) {
  return number(table, key) / 1000.0;
}

double length_or(const TomlTable& table, const std::string& key, double fallback_mm) {
  if (find(table, key) == nullptr) {
    note_default(table, key, show(fallback_mm));
    return fallback_mm / 1000.0;
  }
  return length(table, key);
}

double temperature(const TomlTable& table, const std::string& key) {
  return number(table, key) + zero_celsius;
}

std::string text(const TomlTable& table, const std::string& key) {
  const std::string allowed = "a text in quotes that is not empty";
  const TomlValue& value = needed(table, key, allowed);
  if (value.kind != TomlValue::Kind::text || value.text.empty()) {
    refuse(table, key, show(value), allowed);
  }
  if (!is_printable(value.text)) {
    refuse(table, key, show(value), "text on one line without control characters");
  }
  return value.text;
}

std::string text_or(const TomlTable& table, const std::string& key, const std::string& fallback) {
  if (find(table, key) == nullptr) {
    note_default(table, key, fmt::format("\"{}\"", fallback));
    return fallback;
  }
  return text(table, key);
}

std::string choice_in(const TomlTable& table, const std::string& key, const TomlValue& item,
                      std::span<const std::string> options, const std::string& more) {
  const std::string allowed = join(options) + more;
  if (item.kind != TomlValue::Kind::text) {
    refuse(table, key, show(item), allowed);
  }
  if (std::ranges::find(options, item.text) == options.end()) {
    refuse(table, key, show(item),
           fmt::format("{}; nearest {}", allowed, nearest(item.text, options)));
  }
  return item.text;
}

std::string choice(const TomlTable& table, const std::string& key) {
  const auto* fallback = fallback_of<std::string_view>(table, key);
  if (fallback != nullptr && find(table, key) == nullptr) {
    note_default(table, key, fmt::format("\"{}\"", *fallback));
    return std::string(*fallback);
  }
  return choice(table, key, declared(table, key).options);
}

std::string choice(const TomlTable& table, const std::string& key,
                   std::span<const std::string> options) {
  return choice_in(table, key, needed(table, key, join(options)), options);
}

std::vector<double> numbers(const TomlTable& table, const std::string& key, int n_low, int n_high) {
  const Bounds& bounds = declared(table, key).bounds;
  const std::string allowed = n_low == n_high ? fmt::format("a list of {} numbers", n_low)
                                              : fmt::format("a list of {} to {} numbers, each {}",
                                                            n_low, n_high, in_words(bounds));
  const TomlValue& list = needed_list(table, key, allowed);
  const auto n = static_cast<int>(list.items.size());
  if (n < n_low || n > n_high) {
    refuse(table, key, fmt::format("a list of {}", n), allowed);
  }
  std::vector<double> values;
  for (const TomlValue& item : list.items) {
    values.push_back(number_in(table, key, item, bounds));
  }
  return values;
}

std::vector<std::string> choices(const TomlTable& table, const std::string& key) {
  return choices(table, key, declared(table, key).options);
}

std::vector<std::string> choices(const TomlTable& table, const std::string& key,
                                 std::span<const std::string> options) {
  std::vector<std::string> values;
  for (const TomlValue& item : needed_list(table, key, "a list of " + join(options)).items) {
    const std::string value = choice_in(table, key, item, options);
    if (std::ranges::find(values, value) != values.end()) {
      refuse(table, key, show(item) + " twice", "each once");
    }
    values.push_back(value);
  }
  return values;
}

void note_without(const TomlTable& table, const std::string& key) {
  note_default(table, key, declared(table, key).without);
}

void note_default(const TomlTable& table, const std::string& key, const std::string& value) {
  table.defaults->push_back(fmt::format("{} = {} (default)", join_path(table.path, key), value));
}

std::string place_of(const TomlTable& table, const std::string& key) {
  const TomlValue* value = find(table, key);
  return opening(table.file, value == nullptr ? table.line : value->line,
                 join_path(table.path, key));
}

void refuse(const TomlTable& table, const std::string& key, const std::string& found,
            const std::string& allowed) {
  throw InputError(fmt::format("{}: found {}, allowed {}", place_of(table, key), found, allowed));
}

std::string show(const TomlValue& value) {
  switch (value.kind) {
  case TomlValue::Kind::text:
    return fmt::format("\"{}\"", shortened(value.text));
  case TomlValue::Kind::number:
    return show(value.number);
  case TomlValue::Kind::flag:
    return value.flag ? "true" : "false";
  case TomlValue::Kind::date:
    return "a date";
  case TomlValue::Kind::list:
    return fmt::format("a list of {}", value.items.size());
  case TomlValue::Kind::table:
    break;
  }
  return "a table";
}

std::string join(std::span<const std::string> words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string nearest(const std::string& word, std::span<const std::string> known) {
  std::string holding = all_that_hold(word, known);
  if (!holding.empty()) {
    return holding;
  }
  const auto best = std::ranges::min_element(
      known, {}, [&word](const std::string& candidate) { return edit_distance(word, candidate); });
  return best == known.end() ? std::string() : in_single_quotes(*best);
}

} // namespace tiltfin

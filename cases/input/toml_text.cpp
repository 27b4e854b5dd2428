#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <iterator>

namespace tiltfin {
namespace {

using Kind = TomlValue::Kind;

std::string quoted(const std::string& text) {
  std::string result = "\"";
  for (const char c : text) {
    if (c == '"' || c == '\\') {
      result += '\\';
      result += c;
    } else if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) {
      result += fmt::format("\\u{:04x}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      result += c;
    }
  }
  return result + '"';
}

std::string key_text(const std::string& key) {
  const bool is_bare = !key.empty() && std::ranges::all_of(key, [](unsigned char c) {
    return std::isalnum(c) != 0 || c == '_' || c == '-';
  });
  return is_bare ? key : quoted(key);
}

std::string number_text(const TomlValue& value) {
  std::string text = fmt::format("{}", value.number); // the shortest that reads back the same
  const bool looks_whole = text.find_first_of(".e") == std::string::npos;
  return looks_whole && !value.is_whole ? text + ".0" : text;
}

bool is_table_list(const TomlValue& value) {
  return value.kind == Kind::list && !value.items.empty() &&
         std::ranges::all_of(value.items, [](const auto& v) { return v.kind == Kind::table; });
}

void append_table(const TomlValue& table, const std::string& path, std::string& text) {
  for (std::size_t k = 0; k < table.items.size(); ++k) {
    const TomlValue& item = table.items[k];
    if (item.kind != Kind::table && item.kind != Kind::date && !is_table_list(item)) {
      text += key_text(table.keys[k]) + " = " + inline_text(item) + "\n";
    }
  }
  for (std::size_t k = 0; k < table.items.size(); ++k) {
    const TomlValue& item = table.items[k];
    const std::string place = join_path(path, key_text(table.keys[k]));
    if (item.kind == Kind::table) {
      text += "\n[" + place + "]\n";
      append_table(item, place, text);
    } else if (is_table_list(item)) {
      for (const TomlValue& element : item.items) {
        text += "\n[[" + place + "]]\n";
        append_table(element, place, text);
      }
    }
  }
}

} // namespace

std::string inline_text(const TomlValue& value) {
  switch (value.kind) {
  case Kind::text:
    return quoted(value.text);
  case Kind::number:
    return number_text(value);
  case Kind::flag:
    return value.flag ? "true" : "false";
  case Kind::date:
    break;
  case Kind::list:
  case Kind::table:
    std::string text;
    for (std::size_t k = 0; k < value.items.size(); ++k) {
      text += k > 0 ? ", " : "";
      text += value.kind == Kind::table ? key_text(value.keys[k]) + " = " : "";
      text += inline_text(value.items[k]);
    }
    return value.kind == Kind::table ? "{" + text + "}" : "[" + text + "]";
  }
  return "";
}

std::string toml_text(const TomlValue& root) {
  std::string text;
  append_table(root, "", text);
  return text;
}

const TomlValue* entry(const TomlValue& table, const std::string& key) {
  const auto found = std::ranges::find(table.keys, key);
  return found == table.keys.end() ? nullptr : &table.items[found - table.keys.begin()];
}

TomlValue* entry(TomlValue& table, const std::string& key) {
  const auto found = std::ranges::find(table.keys, key);
  return found == table.keys.end() ? nullptr : &table.items[found - table.keys.begin()];
}

TomlValue& made_entry(TomlValue& table, const std::string& key) {
  const auto place = std::ranges::lower_bound(table.keys, key);
  const auto at = std::distance(table.keys.begin(), place);
  if (place == table.keys.end() || *place != key) {
    table.keys.insert(place, key);
    table.items.emplace(table.items.begin() + at)->line = table.line;
  }
  return table.items[static_cast<std::size_t>(at)];
}

void set_number(TomlValue& table, const std::string& key, double value) {
  TomlValue& place = made_entry(table, key);
  place.kind = Kind::number;
  place.number = value;
  place.is_whole = value == static_cast<double>(static_cast<long long>(value));
}

void remove_entry(TomlValue& table, const std::string& key) {
  const auto found = std::ranges::find(table.keys, key);
  if (found != table.keys.end()) {
    table.items.erase(table.items.begin() + (found - table.keys.begin()));
    table.keys.erase(found);
  }
}

} // namespace tiltfin

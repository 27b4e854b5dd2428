#include "cases/input/toml_tree.hpp"

#include "cases/input/input_error.hpp"
#include "cases/input/toml_depth.hpp"
#include "post/text/printable.hpp"

#ifndef TOML_HEADER_ONLY
#define TOML_HEADER_ONLY 0 // the distribution's shared library holds the parser
#endif
#include <fmt/format.h>
#include <toml++/toml.h>

#include <cmath>

namespace tiltfin {
namespace {

int line_of(const toml::source_region& region, int fallback) {
  const auto line = static_cast<int>(region.begin.line);
  return line > 0 ? line : fallback;
}

/// What a conversion knows about the place it is at.
struct Place {
  const std::string& file;
  std::string path;
  int line;
};

TomlValue convert(const toml::node& node, const Place& place);

void convert_items(const toml::array& list, const Place& place, TomlValue& value) {
  for (const toml::node& item : list) {
    const std::string path = fmt::format("{}[{}]", place.path, value.items.size() + 1);
    value.items.push_back(convert(item, {place.file, path, value.line}));
  }
}

void convert_entries(const toml::table& table, const Place& place, TomlValue& value) {
  for (const auto& [key, item] : table) {
    const std::string name(key.str());
    const int line = line_of(key.source(), value.line);
    if (!is_printable(name)) {
      refuse_at(place.file, line, join_path(place.path, printable(name)), "a key that is not known",
                "keys without control characters");
    }
    value.items.push_back(convert(item, {place.file, join_path(place.path, name), line}));
    value.keys.push_back(name);
  }
}

TomlValue convert(const toml::node& node, const Place& place) {
  TomlValue value;
  value.line = line_of(node.source(), place.line);
  if (const toml::table* table = node.as_table()) {
    value.kind = TomlValue::Kind::table;
    convert_entries(*table, place, value);
  } else if (const toml::array* list = node.as_array()) {
    value.kind = TomlValue::Kind::list;
    convert_items(*list, place, value);
  } else if (const auto* string = node.as_string()) {
    value.kind = TomlValue::Kind::text;
    value.text = string->get();
    std::string without_tabs = value.text;
    std::erase(without_tabs, '\t');
    if (printable(without_tabs) != without_tabs) {
      refuse_at(place.file, value.line, place.path, '"' + printable(value.text) + '"',
                "text without control characters");
    }
  } else if (const auto* integer = node.as_integer()) {
    value.kind = TomlValue::Kind::number;
    value.number = static_cast<double>(integer->get());
    value.is_whole = true;
  } else if (const auto* real = node.as_floating_point()) {
    value.kind = TomlValue::Kind::number;
    value.number = real->get();
    if (!std::isfinite(value.number)) {
      refuse_at(place.file, value.line, place.path, fmt::format("{}", value.number),
                "a finite number");
    }
  } else if (const auto* flag = node.as_boolean()) {
    value.kind = TomlValue::Kind::flag;
    value.flag = flag->get();
  } else {
    value.kind = TomlValue::Kind::date;
  }
  return value;
}

} // namespace

std::string join_path(const std::string& path, const std::string& key) {
  return path.empty() ? key : (key.empty() ? path : path + "." + key);
}

std::string opening(const std::string& file, int line, const std::string& key) {
  return fmt::format("{}:{}: key '{}'", file, line, key);
}

void refuse_at(const std::string& file, int line, const std::string& key, const std::string& found,
               const std::string& allowed) {
  throw InputError(
      fmt::format("{}: found {}, allowed {}", opening(file, line, key), found, allowed));
}

TomlValue parse_toml(const std::string& text, const std::string& name) {
  check_depth(text, name);
  for (bool is_second = false;; is_second = true) {
    try {
      const toml::table root = toml::parse(text);
      return convert(root, {name, "", 1});
    } catch (const toml::parse_error& error) {
      // Its streams hide a lack of memory and call a number none: it is asked once more.
      if (is_second) {
        throw InputError(fmt::format("{}:{}: not valid TOML: {}", name, line_of(error.source(), 1),
                                     error.description()));
      }
    }
  }
}

} // namespace tiltfin

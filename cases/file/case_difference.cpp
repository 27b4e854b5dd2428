#include "cases/file/case_difference.hpp"

#include "cases/file/case_keys.hpp"
#include "cases/input/keys.hpp"
#include "cases/input/toml_reader.hpp"
#include "cases/input/toml_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <set>
#include <variant>

namespace tiltfin {
namespace {

constexpr const char* not_given = "not given";
constexpr const char* own_of_cooler = "limit.spreading_k_per_w"; // in its base, no condition

/// The value at a key as it holds: given, or the key's default; none where that is no fixed value.
std::optional<TomlValue> value_in_force(const TomlValue* given, const Key& key) {
  if (given != nullptr) {
    return *given;
  }
  TomlValue value;
  if (const double* number = std::get_if<double>(&key.fallback)) {
    value.kind = TomlValue::Kind::number;
    value.number = *number;
    return value;
  }
  if (const auto* text = std::get_if<std::string_view>(&key.fallback)) {
    value.kind = TomlValue::Kind::text;
    value.text = *text;
    return value;
  }
  return std::nullopt;
}

std::string shown(const std::optional<TomlValue>& value) {
  if (!value) {
    return not_given;
  }
  const bool is_one = value->kind != TomlValue::Kind::list && value->kind != TomlValue::Kind::table;
  return is_one ? show(*value) : inline_text(*value);
}

/// Lists of texts are sets in every key that takes one: sorted.
std::vector<TomlValue> items_of(const TomlValue& value) {
  std::vector<TomlValue> items = value.items;
  const bool is_set =
      value.kind == TomlValue::Kind::list && std::ranges::all_of(items, [](const TomlValue& item) {
        return item.kind == TomlValue::Kind::text;
      });
  if (is_set) {
    std::ranges::sort(items, {}, &TomlValue::text);
  }
  return items;
}

bool is_same(const TomlValue& a, const TomlValue& b) {
  if (a.kind != b.kind || a.text != b.text || a.number != b.number || a.flag != b.flag) {
    return false;
  }
  const std::vector<TomlValue> first = items_of(a);
  const std::vector<TomlValue> second = items_of(b);
  return a.keys == b.keys &&
         std::equal(first.begin(), first.end(), second.begin(), second.end(), is_same);
}

std::vector<std::string> orientations_of(const Case& the_case) {
  std::vector<std::string> names;
  for (const Orientation& orientation : the_case.orientations) {
    names.push_back(orientation.name);
  }
  return names;
}

/// The tree of the case in which every surface of the room says when it is there.
TomlValue tree_of(const Case& the_case) {
  TomlValue tree = the_case.tree;
  TomlValue* room = entry(tree, "room");
  TomlValue* surfaces = room == nullptr ? nullptr : entry(*room, "surface");
  if (surfaces == nullptr) {
    return tree;
  }
  TomlValue all;
  all.kind = TomlValue::Kind::list;
  for (const std::string& name : orientations_of(the_case)) {
    all.items.emplace_back().kind = TomlValue::Kind::text;
    all.items.back().text = name;
  }
  for (TomlValue& surface : surfaces->items) {
    if (entry(surface, "orientations") == nullptr) {
      made_entry(surface, "orientations") = all;
    }
  }
  return tree;
}

using Differences = std::vector<KeyDifference>;

void compare_tables(const TomlValue* a, const TomlValue* b, const KeyTable& keys,
                    const std::string& path, Differences& differences);

/// Item by item; one that only one of them has is shown whole.
void compare_lists(const TomlValue* a, const TomlValue* b, const KeyTable& keys,
                   const std::string& path, Differences& differences) {
  const auto item = [](const TomlValue* list, std::size_t k) {
    return list == nullptr || k >= list->items.size() ? nullptr : &list->items[k];
  };
  for (std::size_t k = 0; item(a, k) != nullptr || item(b, k) != nullptr; ++k) {
    const TomlValue* one = item(a, k);
    const TomlValue* other = item(b, k);
    const std::string place = fmt::format("{}[{}]", path, k + 1);
    if (one != nullptr && other != nullptr) {
      compare_tables(one, other, keys, place, differences);
    } else {
      differences.push_back({place, one == nullptr ? not_given : inline_text(*one),
                             other == nullptr ? not_given : inline_text(*other)});
    }
  }
}

void compare_key(const TomlValue* a, const TomlValue* b, const Key& key, const std::string& path,
                 Differences& differences) {
  if (key.table != nullptr) {
    (key.is_list ? compare_lists : compare_tables)(a, b, *key.table, path, differences);
    return;
  }
  const std::optional<TomlValue> first = value_in_force(a, key);
  const std::optional<TomlValue> second = value_in_force(b, key);
  if (first.has_value() != second.has_value() || (first && !is_same(*first, *second))) {
    differences.push_back({path, shown(first), shown(second)});
  }
}

void compare_tables(const TomlValue* a, const TomlValue* b, const KeyTable& keys,
                    const std::string& path, Differences& differences) {
  std::set<std::string> names;
  for (const TomlValue* side : {a, b}) {
    if (side != nullptr) {
      names.insert(side->keys.begin(), side->keys.end());
    }
  }
  const auto value = [](const TomlValue* table, const std::string& name) {
    return table == nullptr ? nullptr : entry(*table, name);
  };
  for (const std::string& name : names) {
    compare_key(value(a, name), value(b, name), *find_key(keys, name), join_path(path, name),
                differences);
  }
}

std::optional<KeyDifference> differing_list(const std::string& key, std::vector<std::string> first,
                                            std::vector<std::string> second) {
  std::ranges::sort(first);
  std::ranges::sort(second);
  if (first == second) {
    return std::nullopt;
  }
  return KeyDifference{key, join(first), join(second)};
}

std::vector<std::string> panels_of(const Case& the_case) {
  std::vector<std::string> names;
  for (const PanelState& panel : the_case.panels) {
    names.push_back(panel.name);
  }
  return names;
}

} // namespace

std::vector<KeyDifference> differing_keys(const Case& first, const Case& second,
                                          const std::string& table) {
  const TomlValue one = tree_of(first);
  const TomlValue other = tree_of(second);
  Differences differences;
  compare_key(entry(one, table), entry(other, table), *find_key(case_keys(), table), table,
              differences);
  return differences;
}

std::optional<KeyDifference> differing_condition(const Case& first, const Case& second) {
  for (const char* table : {"room", "limit", "air"}) {
    for (const KeyDifference& difference : differing_keys(first, second, table)) {
      if (difference.key != own_of_cooler) {
        return difference;
      }
    }
  }
  const std::array<std::optional<KeyDifference>, 2> lists{
      differing_list("conditions.orientations", orientations_of(first), orientations_of(second)),
      differing_list("conditions.panels", panels_of(first), panels_of(second))};
  for (const std::optional<KeyDifference>& difference : lists) {
    if (difference) {
      return difference;
    }
  }
  return std::nullopt;
}

} // namespace tiltfin

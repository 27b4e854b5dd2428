#include "cases/study/study.hpp"

#include "cases/input/toml_text.hpp"
#include "cases/input/whole_file.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace tiltfin {
namespace {

using Kind = TomlValue::Kind;

constexpr int most_values = 1000;
constexpr int most_variants = 1000000; // six digits name a variant

/// The study's file, for its messages.
struct StudyText {
  const std::string& file;

  [[noreturn]] void refuse(int line, const std::string& key, const std::string& found,
                           const std::string& allowed) const {
    refuse_at(file, line, key, found, allowed);
  }
};

bool is_range(const TomlValue& value) {
  return value.kind == Kind::table && entry(value, "from") != nullptr;
}

double range_number(const StudyText& in, const TomlValue& range, const std::string& key,
                    const char* name) {
  const TomlValue* value = entry(range, name);
  if (value == nullptr || value->kind != Kind::number) {
    in.refuse(range.line, key, value == nullptr ? fmt::format("no {}", name) : inline_text(*value),
              "{ from, to, step }, three numbers");
  }
  return value->number;
}

/// from, from + step, ... up to `to`, which is met where rounding alone keeps it away.
std::vector<TomlValue> values_in_range(const StudyText& in, const TomlValue& range,
                                       const std::string& key) {
  for (const std::string& name : range.keys) {
    if (name != "from" && name != "to" && name != "step") {
      in.refuse(range.line, key, name, "{ from, to, step }, three numbers");
    }
  }
  const double from = range_number(in, range, key, "from");
  const double to = range_number(in, range, key, "to");
  const double step = range_number(in, range, key, "step");
  const double steps = (to - from) / step;
  if (!(steps >= 0.0) || steps > most_values - 1) {
    in.refuse(range.line, key, fmt::format("from {:g} to {:g} in steps of {:g}", from, to, step),
              fmt::format("a range of 1 to {} values", most_values));
  }
  constexpr double rounding = 1e-9;
  const bool is_whole = std::ranges::all_of(range.items, &TomlValue::is_whole);
  std::vector<TomlValue> values;
  for (int k = 0; k <= static_cast<int>(std::floor(steps + rounding)); ++k) {
    TomlValue value;
    value.kind = Kind::number;
    value.line = range.line;
    // Of decimal steps the decimal number, as one would write it.
    value.number = std::stod(fmt::format("{:.12g}", from + k * step));
    value.is_whole = is_whole;
    values.push_back(value);
  }
  return values;
}

/// Adds every key below `table` that takes values.
void collect_keys(const StudyText& in, const TomlValue& table, const std::string& path,
                  std::vector<VariedKey>& keys) {
  for (std::size_t k = 0; k < table.items.size(); ++k) {
    const TomlValue& item = table.items[k];
    const std::string key = join_path(path, table.keys[k]);
    if (item.kind == Kind::table && !is_range(item)) {
      collect_keys(in, item, key, keys);
      continue;
    }
    VariedKey varied{key, item.line, {}};
    if (item.kind == Kind::list) {
      varied.values = item.items;
    } else if (item.kind == Kind::table) {
      varied.values = values_in_range(in, item, key);
    }
    const int n = static_cast<int>(varied.values.size());
    if (n < 1 || n > most_values) {
      in.refuse(item.line, key,
                item.kind == Kind::list ? fmt::format("{} values", n) : inline_text(item),
                fmt::format("a list of 1 to {} values, or {{ from, to, step }}", most_values));
    }
    if (std::ranges::find(keys, key, &VariedKey::key) != keys.end()) {
      in.refuse(item.line, key, "the key twice", "every key once");
    }
    keys.push_back(std::move(varied));
  }
}

/// Sets the keys of one row, which has a single value for each.
void collect_row(const StudyText& in, const TomlValue& table, const std::string& path, int row,
                 Study& study) {
  for (std::size_t k = 0; k < table.items.size(); ++k) {
    const TomlValue& item = table.items[k];
    const std::string key = join_path(path, table.keys[k]);
    if (item.kind == Kind::table) {
      collect_row(in, item, key, row, study);
      continue;
    }
    auto varied = std::ranges::find(study.keys, key, &VariedKey::key);
    if (varied == study.keys.end()) {
      study.keys.push_back({key, item.line, {}});
      varied = std::prev(study.keys.end());
      for (std::vector<int>& other : study.rows) {
        other.push_back(-1);
      }
    }
    const auto place = static_cast<std::size_t>(std::distance(study.keys.begin(), varied));
    const auto same = std::ranges::find_if(varied->values, [&](const TomlValue& value) {
      return inline_text(value) == inline_text(item);
    });
    study.rows[static_cast<std::size_t>(row)][place] =
        static_cast<int>(std::distance(varied->values.begin(), same));
    if (same == varied->values.end()) {
      varied->values.push_back(item);
    }
  }
}

void read_rows(const StudyText& in, const TomlValue& rows, Study& study) {
  for (const TomlValue& row : rows.items) {
    if (row.kind != Kind::table) {
      in.refuse(row.line, "row", inline_text(row), "[[row]] tables of keys with one value each");
    }
    study.rows.emplace_back(study.keys.size(), -1);
    collect_row(in, row, "", static_cast<int>(study.rows.size()) - 1, study);
  }
}

std::string text_at(const StudyText& in, const TomlValue& root, const char* key,
                    const char* allowed) {
  const TomlValue* value = entry(root, key);
  if (value == nullptr || value->kind != Kind::text || value->text.empty()) {
    in.refuse(value == nullptr ? 1 : value->line, key,
              value == nullptr ? "nothing" : inline_text(*value), allowed);
  }
  return value->text;
}

/// The table of a list whose name this is; null: there is none.
TomlValue* named_item(TomlValue& list, const std::string& name) {
  for (TomlValue& item : list.items) {
    const TomlValue* its_name = item.kind == Kind::table ? entry(item, "name") : nullptr;
    if (its_name != nullptr && its_name->text == name) {
      return &item;
    }
  }
  return nullptr;
}

/// Sets the value at a key such as "case.panel.on.free_area_ratio"; tables that are not there are
/// made, but not those of a list.
void set_value(TomlValue& root, const std::string& key, const TomlValue& value) {
  TomlValue* place = &root;
  std::size_t begin = 0;
  for (std::size_t dot = key.find('.'); dot != std::string::npos; dot = key.find('.', begin)) {
    const std::string part = key.substr(begin, dot - begin);
    TomlValue* next = place->kind == Kind::list ? named_item(*place, part) : entry(*place, part);
    if (next == nullptr && place->kind == Kind::list) {
      throw InputError(fmt::format("key '{}': found no table of a list that is named '{}', allowed "
                                   "the name of one",
                                   key, part));
    }
    if (next == nullptr) {
      next = &made_entry(*place, part);
      next->line = value.line;
    }
    if (next->kind != Kind::table && next->kind != Kind::list) {
      throw InputError(
          fmt::format("key '{}': found a value at '{}', allowed a table there", key, part));
    }
    place = next;
    begin = dot + 1;
  }
  const std::string last = key.substr(begin);
  if (place->kind == Kind::table) {
    made_entry(*place, last) = value;
  } else {
    throw InputError(fmt::format(
        "key '{}': found a list of tables, allowed the name of one of them before the key", key));
  }
}

/// The number of the value of every key, -1 for that of the base.
std::vector<int> choices_of(const Study& study, int number) {
  if (!study.rows.empty()) {
    return study.rows[static_cast<std::size_t>(number)];
  }
  std::vector<int> choices(study.keys.size());
  for (std::size_t k = study.keys.size(); k-- > 0;) {
    const int n = static_cast<int>(study.keys[k].values.size());
    choices[k] = number % n;
    number /= n;
  }
  return choices;
}

void check_keys(const StudyText& in, const TomlValue& root) {
  for (std::size_t k = 0; k < root.keys.size(); ++k) {
    const std::string& key = root.keys[k];
    if (key != "title" && key != "case" && key != "vary" && key != "row") {
      in.refuse(root.items[k].line, key, "a key that is not known", "title, case, vary, row");
    }
  }
}

void check_number(const StudyText& in, const TomlValue& vary, const Study& study) {
  double n = 1.0;
  for (const VariedKey& key : study.keys) {
    n *= static_cast<double>(key.values.size());
  }
  if (n > most_variants) {
    in.refuse(vary.line, "vary", fmt::format("{:g} combinations", n),
              fmt::format("at most {}", most_variants));
  }
}

/// [vary] or [[row]].
void read_changes(const StudyText& in, const TomlValue& root, Study& study) {
  const TomlValue* vary = entry(root, "vary");
  const TomlValue* row = entry(root, "row");
  if ((vary == nullptr) == (row == nullptr)) {
    in.refuse(vary == nullptr ? 1 : vary->line, "vary",
              vary == nullptr ? "neither [vary] nor [[row]]" : "[vary] beside [[row]]",
              "one of them: every combination of lists, or rows of values");
  }
  if (vary != nullptr && vary->kind == Kind::table) {
    collect_keys(in, *vary, "", study.keys);
    check_number(in, *vary, study);
  } else if (row != nullptr && row->kind == Kind::list) {
    read_rows(in, *row, study);
  }
  if (study.keys.empty()) {
    in.refuse(vary != nullptr ? vary->line : row->line, vary != nullptr ? "vary" : "row",
              "no key in it", "keys of the case file with their values");
  }
}

} // namespace

Study read_study(const std::filesystem::path& path, const std::filesystem::path& base_file) {
  Study study;
  study.file = path.string();
  study.text = read_whole_file(path, "a study", largest_case_file);
  const TomlValue root = parse_toml(study.text, study.file);
  const StudyText in{study.file};
  check_keys(in, root);
  const std::string named = text_at(in, root, "case", "the path of a case file, from here");
  study.base =
      read_case(base_file.empty() ? (path.parent_path() / named).string() : base_file.string());
  study.title =
      entry(root, "title") == nullptr ? study.base.title : text_at(in, root, "title", "a text");
  read_changes(in, root, study);
  return study;
}

int n_variants(const Study& study) {
  if (!study.rows.empty()) {
    return static_cast<int>(study.rows.size());
  }
  int n = 1;
  for (const VariedKey& key : study.keys) {
    n *= static_cast<int>(key.values.size());
  }
  return n;
}

std::vector<std::string> values_of(const Study& study, int number) {
  const std::vector<int> choices = choices_of(study, number);
  std::vector<std::string> values;
  for (std::size_t k = 0; k < choices.size(); ++k) {
    if (choices[k] < 0) {
      values.emplace_back();
      continue;
    }
    const TomlValue& value = study.keys[k].values[static_cast<std::size_t>(choices[k])];
    values.push_back(value.kind == Kind::text ? value.text : inline_text(value));
  }
  return values;
}

Case variant_of(const Study& study, int number) {
  const std::vector<int> choices = choices_of(study, number);
  TomlValue root = study.base.tree;
  for (std::size_t k = 0; k < choices.size(); ++k) {
    if (choices[k] >= 0) {
      set_value(root, study.keys[k].key,
                study.keys[k].values[static_cast<std::size_t>(choices[k])]);
    }
  }
  return case_from_tree(root, study.base.file);
}

} // namespace tiltfin

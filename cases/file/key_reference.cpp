#include "cases/file/key_reference.hpp"

#include "cases/file/case_keys.hpp"
#include "cases/geometry/cooler.hpp"
#include "cases/input/toml_reader.hpp"

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>

namespace tiltfin {
namespace {

/// One table of the page.
struct KeySheet {
  std::vector<std::string> paths; ///< of the tables that it is about: "case.panel"
  bool is_list = false;
  std::string text; ///< what it is about
  KeyTable keys;    ///< without tables
};

std::string cell(std::string text) {
  for (std::size_t bar = text.find('|'); bar != std::string::npos; bar = text.find('|', bar + 2)) {
    text.insert(bar, "\\");
  }
  return text;
}

std::string default_cell(const Key& key) {
  std::string fixed = fallback_text(key);
  if (!fixed.empty()) {
    return fixed;
  }
  return key.without.empty() ? "must be given" : key.without;
}

std::string allowed_cell(const Key& key) {
  if (key.name == "finish") { // many, and described
    return "a [finish](#finishes)";
  }
  std::vector<std::string> words;
  for (const std::string& option : key.options) {
    words.push_back(option == "\t" ? "a tab" : fmt::format("`{}`", option));
  }
  return words.empty() ? allowed_words(key) : fmt::format("{}", fmt::join(words, ", "));
}

std::string row(const Key& key) {
  return fmt::format("| `{}` | {} | {} | {} | {} |\n", key.name, unit_of(key.name),
                     cell(default_cell(key)), cell(allowed_cell(key)), cell(key.meaning));
}

std::string in_brackets(const KeySheet& sheet, const std::string& path) {
  return path.empty() ? "the top of the file"
                      : fmt::format(fmt::runtime(sheet.is_list ? "`[[{}]]`" : "`[{}]`"), path);
}

std::string page_of(const KeySheet& sheet) {
  std::vector<std::string> names;
  for (const std::string& path : sheet.paths) {
    names.push_back(in_brackets(sheet, path));
  }
  std::string page = fmt::format("\n**{}**: {}\n\n", fmt::join(names, ", "), sheet.text);
  page += "| key | unit | without it | may be | meaning |\n|---|---|---|---|---|\n";
  for (const Key& key : sheet.keys) {
    page += row(key);
  }
  return page;
}

bool is_alike(const Key& a, const Key& b) {
  return row(a) == row(b);
}

/// The keys that every cooler has and that mean the same in each.
KeyTable shared_by_coolers() {
  const std::span<const CoolerKind> kinds = cooler_kinds();
  KeyTable shared;
  for (const Key& key : kinds.front().keys()) {
    if (std::ranges::all_of(kinds, [&](const CoolerKind& kind) {
          const Key* own = find_key(kind.keys(), key.name);
          return own != nullptr && is_alike(*own, key);
        })) {
      shared.push_back(key);
    }
  }
  return shared;
}

bool is_cooler(const std::string& path) {
  return std::ranges::any_of(cooler_kinds(),
                             [&](const CoolerKind& kind) { return kind.table == path; });
}

bool is_same_table(const KeySheet& sheet, const Key& table) {
  const KeyTable& keys = *table.table;
  KeyTable plain;
  std::ranges::copy_if(keys, std::back_inserter(plain),
                       [](const Key& key) { return key.table == nullptr; });
  return sheet.text == table.meaning && std::ranges::equal(sheet.keys, plain, is_alike);
}

/// The sheet of a table and those below it, which stands in a table with the keys `above`; tables
/// alike one after the other share a sheet.
void add_sheets(const std::string& path, const Key& table, const KeyTable& shared,
                const KeyTable& above, std::vector<KeySheet>& sheets) {
  if (!sheets.empty() && is_same_table(sheets.back(), table)) {
    sheets.back().paths.push_back(path);
    return;
  }
  KeySheet sheet{{path}, table.is_list, table.meaning, {}};
  const std::string& without = table.without;
  if (!without.empty()) {
    sheet.text += fmt::format(" (without any: {})", without);
  }
  const KeyTable& common = is_cooler(path) ? shared : above;
  std::vector<std::string> again;
  for (const Key& key : *table.table) {
    const Key* known = find_key(common, key.name);
    if (known != nullptr && is_alike(*known, key)) {
      again.push_back(fmt::format("`{}`", key.name));
    } else if (key.table == nullptr) {
      sheet.keys.push_back(key);
    }
  }
  if (!again.empty()) {
    sheet.text += is_cooler(path)
                      ? "; besides what every cooler has"
                      : fmt::format("; for itself also, as above, {}", fmt::join(again, ", "));
  }
  if (!sheet.keys.empty()) {
    sheets.push_back(sheet);
  }
  for (const Key& key : *table.table) {
    if (key.table != nullptr) {
      add_sheets(join_path(path, key.name), key, shared, *table.table, sheets);
    }
  }
}

std::vector<KeySheet> all_sheets() {
  const KeyTable shared = shared_by_coolers();
  KeySheet of_coolers{{}, false, "what every cooler has", shared};
  KeySheet top{{""}, false, "besides the tables", {}};
  std::vector<KeySheet> sheets;
  for (const Key& key : case_keys()) {
    if (key.table == nullptr) {
      top.keys.push_back(key);
    } else if (is_cooler(key.name) && of_coolers.paths.empty()) {
      for (const CoolerKind& kind : cooler_kinds()) {
        of_coolers.paths.emplace_back(kind.table);
      }
      sheets.push_back(of_coolers);
    }
    if (key.table != nullptr) {
      add_sheets(key.name, key, shared, {}, sheets);
    }
  }
  sheets.insert(sheets.begin(), top);
  return sheets;
}

bool is_named(const std::string& path, const std::string& name) {
  return path == name || path.ends_with('.' + name);
}

} // namespace

std::string key_reference(const std::vector<std::string>& only) {
  const std::vector<KeySheet> sheets = all_sheets();
  std::vector<std::string> paths;
  for (const KeySheet& sheet : sheets) {
    std::ranges::copy_if(sheet.paths, std::back_inserter(paths), [&](const std::string& path) {
      return !path.empty() && std::ranges::find(paths, path) == paths.end();
    });
  }
  for (const std::string& name : only) {
    if (std::ranges::none_of(paths,
                             [&](const std::string& path) { return is_named(path, name); })) {
      throw InputError(fmt::format("keys: found \"{}\", allowed {}; nearest {}", name, join(paths),
                                   nearest(name, paths)));
    }
  }
  std::string page;
  for (const KeySheet& sheet : sheets) {
    const bool is_wanted = std::ranges::any_of(only, [&](const std::string& name) {
      return std::ranges::any_of(sheet.paths,
                                 [&](const std::string& path) { return is_named(path, name); });
    });
    if (only.empty() || is_wanted) {
      page += page_of(sheet);
    }
  }
  return page;
}

} // namespace tiltfin

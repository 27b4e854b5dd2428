#include "cases/file/starters.hpp"

#include "cases/input/toml_reader.hpp"

#include <fmt/format.h>

#include <algorithm>

namespace tiltfin {

std::string starter_text(const std::string& type) {
  const std::span<const Starter> all = starters();
  const auto place =
      std::ranges::find_if(all, [&](const Starter& starter) { return starter.type == type; });
  if (place != all.end()) {
    return place->text;
  }
  std::vector<std::string> types;
  for (const Starter& starter : all) {
    types.emplace_back(starter.type);
  }
  throw InputError(
      type.empty()
          ? fmt::format(
                "new: found no type of cooler, allowed {}, such as: tiltfin new {} -o my.toml",
                join(types), types.front())
          : fmt::format("new: found \"{}\", allowed {}; nearest {}", type, join(types),
                        nearest(type, types)));
}

} // namespace tiltfin

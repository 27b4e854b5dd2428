#include "cases/geometry/finishes.hpp"

#include "cases/input/input_error.hpp"

#include <algorithm>
#include <array>

namespace tiltfin {
namespace {

constexpr const char* nasa =
    "NASA RP-1121 (Henninger 1984), Solar absorptance and thermal emittance of some common "
    "spacecraft thermal-control coatings";
constexpr const char* tables = "tables of total emissivity in textbooks of heat transfer";
constexpr const char* memory = "handbook value, from memory";

std::vector<std::string> finish_names() {
  std::vector<std::string> names;
  for (const Finish& finish : known_finishes()) {
    names.push_back(finish.name);
  }
  return names;
}

const Finish& finish_called(const std::string& name) {
  const auto known = known_finishes();
  return *std::ranges::find(known, name, &Finish::name);
}

} // namespace

std::span<const Finish> known_finishes() {
  static const std::array<Finish, 14> finishes{{
      {"none", 0.0, "switches radiation off: the surface reflects all"},
      {"polished-aluminium", 0.04, tables},
      {"bare-aluminium", 0.2, "mill finish, oxidised; 0.02 to 0.3 in tables of total emissivity"},
      {"clear-anodised", 0.76, nasa},
      {"black-anodised", 0.82, nasa},
      {"blue-anodised", 0.82, nasa},
      {"gold-anodised", 0.82, nasa},
      {"brown-anodised", 0.86, nasa},
      {"painted", 0.9, "matt paint of any colour, 0.85 to 0.95 in tables of total emissivity"},
      {"steel-rolled", 0.66, memory},
      {"steel-oxidised", 0.8, tables},
      {"galvanised", 0.25, "new, 0.23 to 0.28; weathered 0.8; handbook values, from memory"},
      {"copper-oxidised", 0.7, "0.6 to 0.8; handbook values, from memory"},
      {"circuit-board-laminate", 0.9, "0.85 to 0.95; handbook values, from memory"},
  }};
  return finishes;
}

KeyTable finish_keys(const std::string& of) {
  return {{.name = "finish", .options = finish_names(), .without = "see emissivity", .meaning = of},
          {.name = "emissivity",
           .bounds = between(0.0, 1.0),
           .fallback = 0.0,
           .meaning = "in place of a finish; 0 does not radiate"}};
}

double read_emissivity(const TomlTable& table) {
  const bool has_finish = find(table, "finish") != nullptr;
  if (has_finish && find(table, "emissivity") != nullptr) {
    refuse(table, "emissivity", "both finish and emissivity", "one of them");
  }
  if (has_finish) {
    return finish_called(choice(table, "finish")).emissivity;
  }
  return number(table, "emissivity");
}

std::vector<Finish> read_finishes(const TomlTable& table) {
  const TomlValue* value = find(table, "finish");
  if (value == nullptr || value->kind != TomlValue::Kind::list) {
    return {{"", read_emissivity(table), ""}};
  }
  if (find(table, "emissivity") != nullptr) {
    refuse(table, "emissivity", "both finish and emissivity", "one of them");
  }
  std::vector<Finish> finishes;
  for (const std::string& name : choices(table, "finish")) {
    finishes.push_back(finish_called(name));
  }
  if (finishes.empty()) {
    refuse(table, "finish", "an empty list", "at least one of " + join(finish_names()));
  }
  if (finishes.size() == 1) {
    finishes.front().name.clear(); // nothing to tell apart
  }
  return finishes;
}

} // namespace tiltfin

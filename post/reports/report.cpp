#include "post/reports/report.hpp"

#include "post/reports/table_parts.hpp"
#include "post/text/json_parts.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <stdexcept>

namespace tiltfin {
namespace {

constexpr double nan = std::numeric_limits<double>::quiet_NaN();

/// Visits every plain member with its name in the files; `O` is Outcome or const Outcome.
template <class O, class Visitor>
void visit_members(O& outcome, const Visitor& visit) {
  visit("panel", outcome.panel);
  visit("orientation", outcome.orientation);
  visit("finish", outcome.finish);
  visit("power_w", outcome.power_w);
  visit("status", outcome.status);
  visit("stability", outcome.stability);
  visit("growth_per_s", outcome.growth_per_s);
  visit("period_s", outcome.period_s);
  visit("base_rise_mean_k", outcome.base_rise_mean_k);
  visit("base_rise_max_k", outcome.base_rise_max_k);
  visit("core_rise_k", outcome.core_rise_k);
  visit("rise_error_k", outcome.rise_error_k);
  visit("resistance_k_per_w", outcome.resistance_k_per_w);
  visit("resistance_error_k_per_w", outcome.resistance_error_k_per_w);
  visit("air_speed_max_m_per_s", outcome.air_speed_max_m_per_s);
  visit("air_speed_error_m_per_s", outcome.air_speed_error_m_per_s);
  visit("air_into_fins_c", outcome.air_into_fins_c);
  visit("air_into_fins_error_k", outcome.air_into_fins_error_k);
  visit("recirculation", outcome.recirculation);
  visit("radiated_share", outcome.radiated_share);
  visit("film_temperature_c", outcome.film_temperature_c);
  visit("expansion_number", outcome.expansion_number);
  visit("rayleigh_gap", outcome.rayleigh_gap);
  visit("fluctuation_k", outcome.fluctuation_k);
  visit("balance_error", outcome.balance_error);
  visit("mass_error", outcome.mass_error);
  visit("undershoot_k", outcome.undershoot_k);
  visit("second_flow", outcome.second_flow);
  visit("second_rise_k", outcome.second_rise_k);
  visit("second_status", outcome.second_status);
  visit("second_stability", outcome.second_stability);
  visit("cells", outcome.cells);
  visit("steps", outcome.steps);
  visit("factorisations", outcome.factorisations);
}

template <class G, class Visitor>
void visit_gap(G& gap, const Visitor& visit) {
  visit("name", gap.name);
  visit("net_flow_kg_per_s", gap.net_flow_kg_per_s);
  visit("net_flow_error_kg_per_s", gap.net_flow_error_kg_per_s);
  visit("recirculation", gap.recirculation);
  visit("mean_temperature_c", gap.mean_temperature_c);
}

template <class G, class Visitor>
void visit_opening(G& opening, const Visitor& visit) {
  visit("name", opening.name);
  visit("in_kg_per_s", opening.in_kg_per_s);
  visit("in_error_kg_per_s", opening.in_error_kg_per_s);
  visit("out_kg_per_s", opening.out_kg_per_s);
  visit("out_error_kg_per_s", opening.out_error_kg_per_s);
  visit("in_temperature_c", opening.in_temperature_c);
  visit("out_temperature_c", opening.out_temperature_c);
}

template <class H, class Visitor>
void visit_heat(H& heat, const Visitor& visit) {
  visit("name", heat.name);
  visit("heat_w", heat.heat_w);
  visit("radiation_w", heat.radiation_w);
}

template <class H, class Visitor>
void visit_link(H& heat, const Visitor& visit) {
  visit("name", heat.name);
  visit("heat_w", heat.heat_w);
}

// JSON ------------------------------------------------------------------------------------------

/// Writes members into an object; NaN becomes null when the object is printed.
struct MemberWriter {
  Json& object;
  template <class T>
  void operator()(const char* key, const T& value) const {
    object[key] = value;
  }
};

/// Reads members back; null becomes NaN. Throws Json exceptions for what is missing or of a wrong
/// type.
struct MemberReader {
  const Json& object;
  void operator()(const char* key, double& value) const {
    const Json& found = object.at(key);
    value = found.is_null() ? nan : found.get<double>();
  }
  template <class T>
  void operator()(const char* key, T& value) const {
    object.at(key).get_to(value);
  }
};

template <class Part, class Visit>
Json list_to_json(const std::vector<Part>& parts, const Visit& visit_part) {
  Json list = Json::array();
  for (const Part& part : parts) {
    Json object;
    visit_part(part, MemberWriter{object});
    list.push_back(object);
  }
  return list;
}

template <class Part, class Visit>
std::vector<Part> list_from_json(const Json& list, const Visit& visit_part) {
  std::vector<Part> parts;
  for (const Json& object : list) {
    Part part;
    visit_part(part, MemberReader{object});
    parts.push_back(part);
  }
  return parts;
}

constexpr auto visit_any_gap = [](auto& gap, const auto& visit) { visit_gap(gap, visit); };
constexpr auto visit_any_opening = [](auto& opening, const auto& visit) {
  visit_opening(opening, visit);
};
constexpr auto visit_any_heat = [](auto& heat, const auto& visit) { visit_heat(heat, visit); };
constexpr auto visit_any_link = [](auto& heat, const auto& visit) { visit_link(heat, visit); };

Json outcome_object(const Outcome& outcome) {
  Json object;
  visit_members(outcome, MemberWriter{object});
  object["gaps"] = list_to_json(outcome.gaps, visit_any_gap);
  object["openings"] = list_to_json(outcome.openings, visit_any_opening);
  object["solids"] = list_to_json(outcome.solids, visit_any_heat);
  object["sides"] = list_to_json(outcome.sides, visit_any_heat);
  object["links"] = list_to_json(outcome.links, visit_any_link);
  object["warnings"] = outcome.warnings;
  return object;
}

Json trend_object(const TrendRow& row) {
  Json object;
  object["panel"] = row.panel;
  object["orientation"] = row.orientation;
  object["finish"] = row.finish;
  object["power_limit_w"] = row.limit.power_w;
  object["power_limit_error_w"] = row.power_limit_error_w;
  object["power_limit_extrapolated"] = row.limit.extrapolated;
  object["n_points"] = row.trend.n_points;
  object["factor_k_per_w_to_exponent"] = row.trend.factor;
  object["exponent"] = row.trend.exponent;
  object["exponent_low"] = row.trend.exponent_low;
  object["exponent_high"] = row.trend.exponent_high;
  object["largest_misfit"] = row.trend.largest_misfit;
  object["status"] = row.status;
  object["stability_examined"] = !row.skips_stability;
  return object;
}

// CSV -------------------------------------------------------------------------------------------

std::string csv_value(const std::string& value) {
  return csv_text(value);
}

std::string csv_value(int value) {
  return fmt::format("{}", value);
}

/// Named quantities of one outcome, each with its full column name ("solid plate-1 heat_w").
using NamedValues = std::vector<std::pair<std::string, double>>;

template <class Part, class Visit>
void add_named(NamedValues& values, const std::string& kind, const std::vector<Part>& parts,
               const Visit& visit_part) {
  for (const Part& part : parts) {
    const auto add = [&](const char* key, const auto& value) {
      if constexpr (std::is_same_v<std::decay_t<decltype(value)>, double>) {
        values.emplace_back(fmt::format("{} {} {}", kind, part.name, key), value);
      }
    };
    visit_part(part, add);
  }
}

NamedValues named_values(const Outcome& outcome) {
  NamedValues values;
  add_named(values, "gap", outcome.gaps, visit_any_gap);
  add_named(values, "opening", outcome.openings, visit_any_opening);
  add_named(values, "solid", outcome.solids, visit_any_heat);
  add_named(values, "side", outcome.sides, visit_any_heat);
  add_named(values, "link", outcome.links, visit_any_link);
  return values;
}

} // namespace

std::string summary_csv(std::span<const Outcome> outcomes) {
  std::vector<std::string> columns; // of the named quantities, in order of appearance
  for (const Outcome& outcome : outcomes) {
    for (const auto& [column, value] : named_values(outcome)) {
      if (std::find(columns.begin(), columns.end(), column) == columns.end()) {
        columns.push_back(column);
      }
    }
  }
  std::vector<std::string> head;
  const Outcome blank;
  visit_members(blank, [&](const char* key, const auto&) { head.emplace_back(key); });
  for (const std::string& column : columns) {
    head.push_back(csv_text(column));
  }
  head.emplace_back("warnings");
  std::string text = csv_line(head);
  for (const Outcome& outcome : outcomes) {
    std::vector<std::string> cells;
    visit_members(outcome,
                  [&](const char*, const auto& value) { cells.push_back(csv_value(value)); });
    const NamedValues values = named_values(outcome);
    for (const std::string& column : columns) {
      const auto found = std::find_if(values.begin(), values.end(),
                                      [&](const auto& entry) { return entry.first == column; });
      cells.push_back(found == values.end() ? "" : csv_value(found->second));
    }
    cells.push_back(csv_text(fmt::format("{}", fmt::join(outcome.warnings, "; "))));
    text += csv_line(cells);
  }
  return text;
}

std::string trend_csv(std::span<const TrendRow> trends) {
  std::string text =
      "panel,orientation,finish,power_limit_w,power_limit_error_w,power_limit_extrapolated,"
      "n_points,factor_k_per_w_to_exponent,exponent,exponent_low,exponent_high,"
      "largest_misfit,status,stability_examined\n";
  for (const TrendRow& row : trends) {
    text += csv_line({csv_text(row.panel), csv_text(row.orientation), csv_text(row.finish),
                      csv_value(row.limit.power_w), csv_value(row.power_limit_error_w),
                      row.limit.extrapolated ? "yes" : "no", csv_value(row.trend.n_points),
                      csv_value(row.trend.factor), csv_value(row.trend.exponent),
                      csv_value(row.trend.exponent_low), csv_value(row.trend.exponent_high),
                      csv_value(row.trend.largest_misfit), csv_text(row.status),
                      row.skips_stability ? "no" : "yes"});
  }
  return text;
}

std::string summary_json(std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                         const ReportContext& context) {
  Json object;
  object["title"] = context.title;
  object["room_temperature_c"] = context.room_temperature_c;
  object["limit_temperature_c"] = context.limit_temperature_c;
  object["die_to_base_k_per_w"] = context.die_to_base_k_per_w;
  object["notes"] = context.notes;
  object["conditions"] = Json::array();
  for (const Outcome& outcome : outcomes) {
    object["conditions"].push_back(outcome_object(outcome));
  }
  object["trends"] = Json::array();
  for (const TrendRow& row : trends) {
    object["trends"].push_back(trend_object(row));
  }
  return json_text(object);
}

std::string outcome_to_json(const Outcome& outcome) {
  return json_text(outcome_object(outcome));
}

Outcome outcome_from_json(const std::string& text) {
  try {
    const Json object = Json::parse(text);
    Outcome outcome;
    visit_members(outcome, MemberReader{object});
    outcome.gaps = list_from_json<GapFlow>(object.at("gaps"), visit_any_gap);
    outcome.openings = list_from_json<OpeningFlow>(object.at("openings"), visit_any_opening);
    outcome.solids = list_from_json<NamedHeat>(object.at("solids"), visit_any_heat);
    outcome.sides = list_from_json<NamedHeat>(object.at("sides"), visit_any_heat);
    outcome.links = list_from_json<NamedHeat>(object.at("links"), visit_any_link);
    object.at("warnings").get_to(outcome.warnings);
    return outcome;
  } catch (const Json::exception& error) {
    throw std::runtime_error(std::string("not the outcome of a condition: ") + error.what());
  }
}

} // namespace tiltfin

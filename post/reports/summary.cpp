#include "post/reports/summary.hpp"

#include "post/reports/core_limit_columns.hpp"
#include "post/reports/outcome_columns.hpp"
#include "post/text/schema.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

namespace tiltfin {
namespace {

Json outcome_object(const Outcome& outcome) {
  Json object = row_json(outcome);
  visit_lists(outcome, [&](const char*, const char* key, const auto& parts) {
    object.add(key, rows_json(parts));
  });
  object.add("warnings", outcome.warnings);
  return object;
}

/// Named quantities of one outcome, each with its full column name ("solid plate-1 heat_w").
using NamedValues = std::vector<std::pair<std::string, double>>;

NamedValues named_values(const Outcome& outcome) {
  NamedValues values;
  visit_lists(outcome, [&](const char* kind, const char*, const auto& parts) {
    for (const auto& part : parts) {
      visit_members(part, [&](const char* key, const auto& value) {
        if constexpr (std::is_same_v<std::decay_t<decltype(value)>, double>) {
          values.emplace_back(fmt::format("{} {} {}", kind, part.name, key), value);
        }
      });
    }
  });
  return values;
}

/// Of all outcomes, in order of appearance.
std::vector<std::string> named_columns(std::span<const Outcome> outcomes) {
  std::vector<std::string> columns;
  for (const Outcome& outcome : outcomes) {
    for (const auto& [column, value] : named_values(outcome)) {
      if (std::ranges::find(columns, column) == columns.end()) {
        columns.push_back(column);
      }
    }
  }
  return columns;
}

} // namespace

/// The columns of a summary that a comparison needs; others may be missing.
template <RowOf<ComputedPoint> Row, class Visit>
void visit_members(Row& point, const Visit& visit) {
  visit("panel", point.panel);
  visit("orientation", point.orientation);
  visit("power_w", point.power_w);
  visit("base_rise_mean_k", point.base_rise_k.value);
  visit("rise_error_k", point.base_rise_k.error);
}

namespace {

/// Earlier files hold the resistance from core to base under the name of one of its two parts.
CoreLimit core_limit_from_json(const Json& object) {
  CoreLimit core;
  visit_members(core, [&](const std::string& key, double& value) {
    const bool is_earlier = key == "core_to_base_k_per_w" && object.find(key) == nullptr;
    JsonReader{object}(is_earlier ? "die_to_base_k_per_w" : key.c_str(), value);
  });
  return core;
}

/// What files of an earlier version do not have.
void add_later_columns(Json& outcome) {
  if (outcome.find("power_is") == nullptr) {
    outcome.add("power_is", name(PowerOrigin::listed));
  }
  if (outcome.find("standing") == nullptr) {
    outcome.add("standing", name(Standing::sound));
  }
  if (outcome.find("steady_rise_k") == nullptr) {
    outcome.add("steady_rise_k", nan);
  }
  if (outcome.find("mean_over_s") == nullptr) {
    outcome.add("mean_over_s", nan);
  }
  if (outcome.find("fan") == nullptr) {
    outcome.add("fan", Json::list());
  }
  if (outcome.find("heat_cell_peclet") == nullptr) {
    outcome.add("heat_cell_peclet", nan);
  }
}

Outcome outcome_of_object(Json object) {
  add_later_columns(object);
  Outcome outcome = row_from_json<Outcome>(object);
  visit_lists(outcome, [&](const char*, const char* key, auto& parts) {
    parts = rows_from_json<typename std::decay_t<decltype(parts)>::value_type>(object.at(key));
  });
  JsonReader{object}("warnings", outcome.warnings);
  return outcome;
}

/// A list of each outcome, with its condition in front of every row.
template <class Row>
std::string rows_by_condition(std::span<const Outcome> outcomes, std::vector<Row> Outcome::*list) {
  std::vector<std::string> head{"panel", "orientation", "finish", "power_w", "status"};
  const std::vector<std::string> columns = head_of(Row{});
  head.insert(head.end(), columns.begin(), columns.end());
  std::string text = csv_line(head);
  for (const Outcome& outcome : outcomes) {
    for (const Row& row : outcome.*list) {
      std::vector<std::string> cells{csv_cell(outcome.panel), csv_cell(outcome.orientation),
                                     csv_cell(outcome.finish), csv_cell(outcome.power_w),
                                     csv_cell(outcome.status)};
      const std::vector<std::string> values = cells_of(row);
      cells.insert(cells.end(), values.begin(), values.end());
      text += csv_line(cells);
    }
  }
  return text;
}

} // namespace

std::string summary_csv(std::span<const Outcome> outcomes) {
  const std::vector<std::string> columns = named_columns(outcomes);
  std::vector<std::string> head = head_of(Outcome{});
  for (const std::string& column : columns) {
    head.push_back(csv_text(column));
  }
  head.emplace_back("warnings");
  std::string text = csv_line(head);
  for (const Outcome& outcome : outcomes) {
    std::vector<std::string> cells = cells_of(outcome);
    const NamedValues values = named_values(outcome);
    for (const std::string& column : columns) {
      const auto found = std::ranges::find(values, column, &NamedValues::value_type::first);
      cells.push_back(found == values.end() ? "" : csv_value(found->second));
    }
    cells.push_back(csv_text(fmt::format("{}", fmt::join(outcome.warnings, "; "))));
    text += csv_line(cells);
  }
  return text;
}

std::string heat_csv(std::span<const Outcome> outcomes) {
  return rows_by_condition(outcomes, &Outcome::heat);
}

std::string fan_csv(std::span<const Outcome> outcomes) {
  return rows_by_condition(outcomes, &Outcome::fan);
}

std::string trend_csv(std::span<const TrendRow> trends) {
  return csv_table(trends);
}

std::string summary_json(std::span<const Outcome> outcomes, std::span<const TrendRow> trends,
                         const ReportContext& context) {
  Json object = Json::object();
  object.add("summary_version", summary_version);
  object.add("title", context.title);
  visit_members(context.core, JsonWriter{object});
  object.add("metal_capacity_j_per_k", context.metal_capacity_j_per_k);
  object.add("notes", context.notes);
  Json conditions = Json::list();
  for (const Outcome& outcome : outcomes) {
    conditions.push(outcome_object(outcome));
  }
  object.add("conditions", std::move(conditions));
  object.add("trends", rows_json(trends));
  return json_text(object);
}

std::string summary_schema() {
  const Outcome outcome;
  Json of_condition = Json::object();
  std::vector<std::string> in_condition;
  const SchemaWriter write_condition{of_condition, in_condition};
  visit_members(outcome, write_condition);
  visit_lists(outcome, [&](const char*, const char* key, const auto& parts) {
    write_condition(key, parts);
  });
  write_condition("warnings", outcome.warnings);

  Json properties = Json::object();
  std::vector<std::string> required;
  const SchemaWriter write{properties, required};
  Json version = Json::object();
  version.add("const", summary_version);
  properties.add("summary_version", std::move(version));
  write("title", std::string());
  const CoreLimit core;
  visit_members(core, write);
  write("metal_capacity_j_per_k", nan);
  write("notes", std::vector<std::string>());
  properties.add("conditions",
                 schema_of_list(schema_of_object(std::move(of_condition), in_condition)));
  properties.add("trends", schema_of_list(schema_value(TrendRow{})));
  required.insert(required.end(), {"summary_version", "conditions", "trends"});

  return schema_file(fmt::format("summary.json of tiltfin, version {}", summary_version),
                     schema_of_object(std::move(properties), required));
}

Computed read_summary(const std::string& text) {
  try {
    const Json object = parse_json(text);
    Computed computed;
    computed.title = object.at("title").text();
    computed.core = core_limit_from_json(object);
    if (object.find("metal_capacity_j_per_k") != nullptr) { // earlier files do not have it
      JsonReader{object}("metal_capacity_j_per_k", computed.metal_capacity_j_per_k);
    }
    for (const Json& row : object.at("conditions").items()) {
      SolveStatus status = SolveStatus::not_converged;
      JsonReader{row}("status", status);
      const ComputedPoint point = row_from_json<ComputedPoint>(row);
      computed.listed.push_back(placing_of(point));
      Standing standing = Standing::sound;
      if (row.find("standing") != nullptr) { // earlier files do not have it
        JsonReader{row}("standing", standing);
      }
      if (standing == Standing::outside) {
        computed.outside.push_back(
            fmt::format("{}, {}, {:g} W", point.panel, point.orientation, point.power_w));
      }
      if (is_solved(status) && point.base_rise_k.value > 0.0 && point.power_w > 0.0) {
        computed.points.push_back(point);
      }
    }
    return computed;
  } catch (const JsonError& error) {
    throw std::runtime_error(std::string("not a summary of solved conditions: ") + error.what());
  }
}

std::string outcome_to_json(const Outcome& outcome) {
  return json_text(outcome_object(outcome));
}

Outcome outcome_from_json(const std::string& text) {
  try {
    return outcome_of_object(parse_json(text));
  } catch (const JsonError& error) {
    throw std::runtime_error(std::string("not the outcome of a condition: ") + error.what());
  }
}

SolvedResults read_solved(const std::string& text) {
  try {
    const Json object = parse_json(text);
    SolvedResults results;
    results.context.title = object.at("title").text();
    results.context.core = core_limit_from_json(object);
    if (object.find("metal_capacity_j_per_k") != nullptr) { // earlier files do not have it
      JsonReader{object}("metal_capacity_j_per_k", results.context.metal_capacity_j_per_k);
    }
    JsonReader{object}("notes", results.context.notes);
    for (const Json& condition : object.at("conditions").items()) {
      results.outcomes.push_back(outcome_of_object(condition));
    }
    return results;
  } catch (const JsonError& error) {
    throw std::runtime_error(std::string("not a summary of solved conditions: ") + error.what());
  }
}

} // namespace tiltfin

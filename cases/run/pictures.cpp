#include "cases/run/pictures.hpp"

#include "cases/file/core_limit.hpp"
#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "mesh/index.hpp"
#include "post/fits/groups.hpp"
#include "post/text/text_file.hpp"
#include "post/views/fields.hpp"
#include "post/views/picture.hpp"
#include "post/views/sheet.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>
#include <map>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

/// A solved condition with what its picture needs.
struct SolvedCondition {
  std::string id;
  const Outcome* outcome = nullptr;
  const Section* section = nullptr;
  SeenFlow flow;
};

AirProperties air_of(const Case& the_case, const Outcome& outcome) {
  return the_case.air
             ? *the_case.air
             : air_at(outcome.film_temperature_c + zero_celsius, the_case.room_temperature);
}

/// How far a condition is from what is allowed.
std::string limit_line(const Case& the_case, const Outcome& outcome,
                       std::span<const TrendRow> trends) {
  const CoreLimit core = core_limit(the_case);
  std::string text;
  if (std::isfinite(outcome.core_rise_k)) {
    text = fmt::format("core {:.0f} °C of {:g} °C", core.room_temperature_c + outcome.core_rise_k,
                       core.limit_temperature_c);
  }
  const auto trend = std::ranges::find_if(
      trends, [&](const TrendRow& row) { return placing_of(row) == placing_of(outcome); });
  if (trend != trends.end() && std::isfinite(trend->limit.power_w.value)) {
    text += fmt::format(" · power limit {} W", show_limit(trend->limit));
  }
  return text;
}

/// The pictures and the sheet of one power; the paths of both in the directory.
std::vector<std::string> draw_power(const fs::path& directory, const Case& the_case, double power_w,
                                    const std::vector<SolvedCondition>& all,
                                    std::span<const TrendRow> trends) {
  PictureScale scale;
  for (const SolvedCondition& drawn : all) {
    scale = common_scale(scale, picture_scale(*drawn.section, drawn.flow));
  }
  std::vector<std::string> paths;
  const auto draw = [&](std::string path, const std::string& svg) {
    write_text(directory / path, svg);
    paths.push_back(std::move(path));
  };
  std::vector<SheetPicture> pictures;
  for (const SolvedCondition& drawn : all) {
    const PictureStyle style{.scale = scale,
                             .scale_is = fmt::format("for all pictures at {:g} W", power_w)};
    draw("pictures/" + drawn.id + ".svg",
         svg_file(picture(*drawn.section, drawn.flow, *drawn.outcome, style)));
    pictures.push_back(
        {drawn.section, &drawn.flow, drawn.outcome, limit_line(the_case, *drawn.outcome, trends)});
  }
  const SheetText text{.title = fmt::format("{} at {:g} W", the_case.title, power_w),
                       .subtitle = fmt::format(
                           "room {:g} °C · core allowed {:g} °C · gravity points down{}",
                           the_case.room_temperature - zero_celsius,
                           the_case.limit_temperature - zero_celsius,
                           all.size() == 1 ? ""
                                           : " in every picture · one scale of colours, lines and "
                                             "lengths for all")};
  draw(fmt::format("sheets/{}w.svg", power_w), svg_file(sheet(text, pictures, scale)));
  return paths;
}

} // namespace

const Section* solved_section(const Case& the_case, const Outcome& outcome) {
  const auto panel = std::ranges::find(the_case.panels, outcome.panel, &PanelState::name);
  const auto orientation =
      std::ranges::find(the_case.orientations, outcome.orientation, &Orientation::name);
  if (panel == the_case.panels.end() || orientation == the_case.orientations.end()) {
    return nullptr;
  }
  return &panel->section_in(
      static_cast<std::size_t>(std::distance(the_case.orientations.begin(), orientation)));
}

std::vector<std::string> draw_pictures(const fs::path& directory, const Case& the_case,
                                       std::span<const Outcome> outcomes,
                                       std::span<const TrendRow> trends) {
  std::map<double, std::vector<const Outcome*>> by_power;
  for (const Outcome& outcome : outcomes) {
    if (is_solved(outcome.status) && solved_section(the_case, outcome) != nullptr) {
      by_power[outcome.power_w].push_back(&outcome);
    }
  }
  std::error_code error;
  fs::create_directories(directory / "sheets", error); // where it fails, so does writing into it
  const std::string case_crc32 = crc32_of_case(the_case);
  std::vector<std::string> problems;
  std::vector<std::string> paths;
  for (const auto& [power_w, group] : by_power) {
    std::vector<SolvedCondition> all;
    for (const Outcome* outcome : group) {
      SolvedCondition drawn{.id = condition_id(outcome->panel, outcome->orientation, power_w),
                            .outcome = outcome,
                            .section = solved_section(the_case, *outcome),
                            .flow = {}};
      try {
        drawn.flow = read_fields(directory / "fields" / (drawn.id + ".vtr"), *drawn.section,
                                 *outcome, case_crc32);
      } catch (const FieldsError& problem) {
        problems.push_back(fmt::format("{}: not drawn: {}", drawn.id, problem.what()));
        continue;
      }
      drawn.flow.air_density = air_of(the_case, *outcome).density;
      all.push_back(std::move(drawn));
    }
    if (!all.empty()) {
      std::ranges::move(draw_power(directory, the_case, power_w, all, trends),
                        std::back_inserter(paths));
    }
  }
  keep_shown(directory, paths);
  return problems;
}

} // namespace tiltfin

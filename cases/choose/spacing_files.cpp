#include "cases/choose/spacing_files.hpp"

#include "cases/file/shown.hpp"
#include "cases/file/stored.hpp"
#include "cases/run/restart.hpp"
#include "cases/run/results.hpp"
#include "post/fits/groups.hpp"
#include "post/text/text_file.hpp"
#include "post/views/picture.hpp"
#include "post/views/side_by_side.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace tiltfin {
namespace {

namespace fs = std::filesystem;

constexpr double shown_apart = 1.7; // ratio of the gaps shown beside the best, where solved

/// The solved point of the best's shape whose gap is nearest to `gap_mm`, on the same side of the
/// best; null when there is none.
const SpacingPoint* nearest_point(const SpacingReport& report, const SpacingBest& best,
                                  double gap_mm) {
  const bool is_wider = gap_mm > best.layout.gap_mm;
  const SpacingPoint* nearest = nullptr;
  const auto distance = [gap_mm](const SpacingPoint& point) {
    return std::abs(std::log(point.layout.gap_mm / gap_mm));
  };
  for (const SpacingPoint& point : report.points) {
    const FinLayout& layout = point.layout;
    const bool is_there = placing_of(point) == placing_of(best) &&
                          layout.is_shaped_like(best.layout) && layout.count != best.layout.count &&
                          (layout.gap_mm > best.layout.gap_mm) == is_wider;
    if (is_there && (nearest == nullptr || distance(point) < distance(*nearest))) {
      nearest = &point;
    }
  }
  return nearest;
}

/// A layout's solution of a condition as it was ranked, with what draws it.
struct Seen {
  std::string label;
  const Section* section = nullptr;
  const Outcome* outcome = nullptr;
  std::optional<Solution> solution; ///< none where its file is gone or not as it was written
  fs::path file;
};

/// Nothing also where the file is not as it was written: the picture says that there is none.
std::optional<Solution> solution_in(const fs::path& file, const Case& the_case,
                                    const Section& section, const Condition& condition) {
  try {
    return read_finest(file, the_case, section, condition);
  } catch (const StoredInputError&) {
    return std::nullopt;
  }
}

Seen seen_of(const fs::path& directory, const std::string& id, const LaidOut& layout) {
  const Case& the_case = layout.the_case;
  Seen seen;
  seen.outcome = &layout.outcomes.at(id);
  seen.file = state_file(directory, id);
  for (const PanelState& panel : the_case.panels) {
    for (std::size_t k = 0; k < the_case.orientations.size(); ++k) {
      const Orientation& orientation = the_case.orientations[k];
      if (placing_of(*seen.outcome) == Placing{panel.name, orientation.name}) {
        seen.section = &panel.section_in(k);
        seen.solution = solution_in(seen.file, the_case, *seen.section,
                                    {.gravity_x = the_case.gravity * orientation.down[0],
                                     .gravity_y = the_case.gravity * orientation.down[1],
                                     .power = seen.outcome->power_w});
      }
    }
  }
  return seen;
}

/// Instead of a picture, where the state that it is drawn from is gone.
Drawing no_picture(const fs::path& file) {
  Drawing drawing{520.0, 330.0, "no picture", ""};
  drawing.body =
      svg_text(44.0, 160.0, "no picture: no undamaged state of this section in", {.size = 14.0}) +
      svg_text(44.0, 184.0, file.filename().string(), {.size = 14.0}) +
      svg_text(44.0, 214.0, "(without the json beside it, it is solved again)", {.size = 14.0});
  return drawing;
}

/// In colours and lines that mean the same in all of them.
std::vector<LabelledDrawing> drawings_of(const std::vector<Seen>& all) {
  PictureScale scale;
  for (const Seen& seen : all) {
    if (seen.solution) {
      scale = common_scale(scale, picture_scale(*seen.section, seen_flow(*seen.solution)));
    }
  }
  std::vector<LabelledDrawing> drawings;
  for (const Seen& seen : all) {
    const PictureStyle style{.scale = scale,
                             .scale_is = "for all gaps shown",
                             .names = fmt::format("d{}-", drawings.size() + 1)};
    drawings.push_back(
        {seen.label, seen.solution
                         ? picture(*seen.section, seen_flow(*seen.solution), *seen.outcome, style)
                         : no_picture(seen.file)});
  }
  return drawings;
}

/// The name of the file.
std::string write_pictures(const fs::path& directory, const SpacingReport& report,
                           const SpacingBest& best, const Layouts& layouts) {
  const std::string id = condition_id(best.panel, best.orientation, report.power_w);
  std::vector<Seen> all;
  const auto add = [&](const char* words, const FinLayout& layout) {
    all.push_back(seen_of(directory / "layouts" / layout.name, id, layouts.at(layout.name)));
    all.back().label = fmt::format("{}: gap {:.2f} mm, {} {}", words, layout.gap_mm, layout.count,
                                   report.is_plates ? "plates" : "fins");
  };
  if (const SpacingPoint* tight = nearest_point(report, best, best.layout.gap_mm / shown_apart)) {
    add("tighter", tight->layout);
  }
  add("best", best.layout);
  if (const SpacingPoint* wide = nearest_point(report, best, best.layout.gap_mm * shown_apart)) {
    add("wider", wide->layout);
  }
  std::string name = "gaps_" + id + ".svg";
  write_text(directory / name, svg_file(side_by_side(report.context.title, drawings_of(all))));
  return name;
}

} // namespace

void write_spacing(const fs::path& directory, const Case& the_case, const SpacingReport& report,
                   const Layouts& layouts) {
  fs::create_directories(directory);
  write_text(directory / "spacing.csv", spacing_csv(report));
  std::vector<std::string> shown{"spacing.csv"};
  write_stored_json(directory / "spacing.json", spacing_json(report), crc32_of_case(the_case));
  const auto shape = [](const SpacingPoint& point) {
    return std::pair(point.layout.thickness_mm, point.layout.height_mm);
  };
  const auto shapes = groups_by(report.points, shape);
  for (const auto& points : shapes) {
    const FinLayout& layout = points.front()->layout;
    const std::string more = shapes.size() == 1
                                 ? ""
                                 : fmt::format("_thickness-{:g}_height-{:g}", layout.thickness_mm,
                                               layout.height_mm.value_or(0.0));
    shown.push_back("spacing" + more + ".svg");
    write_text(directory / shown.back(), spacing_chart(report, layout));
  }
  for (const SpacingBest& best : report.best) {
    if (!best.orientation.empty()) {
      shown.push_back(write_pictures(directory, report, best, layouts));
    }
  }
  keep_shown(directory, shown);
}

} // namespace tiltfin

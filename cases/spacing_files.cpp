#include "cases/spacing_files.hpp"

#include "post/side_by_side.hpp"
#include "post/text_file.hpp"

#include <fmt/format.h>

#include <cmath>
#include <fstream>
#include <iterator>
#include <set>

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
    const bool is_there = point.panel == best.panel && point.orientation == best.orientation &&
                          layout.thickness_mm == best.layout.thickness_mm &&
                          layout.height_mm == best.layout.height_mm &&
                          layout.count != best.layout.count &&
                          (layout.gap_mm > best.layout.gap_mm) == is_wider;
    if (is_there && (nearest == nullptr || distance(point) < distance(*nearest))) {
      nearest = &point;
    }
  }
  return nearest;
}

void write_pictures(const fs::path& directory, const SpacingReport& report,
                    const SpacingBest& best) {
  const std::string id = condition_id(best.panel, best.orientation, report.power_w);
  std::vector<LabelledDrawing> drawings;
  const auto add = [&](const char* words, const FinLayout& layout) {
    const fs::path path = directory / "layouts" / layout.name / "pictures" / (id + ".svg");
    std::ifstream file(path, std::ios::binary);
    const std::string svg{std::istreambuf_iterator<char>(file), {}};
    if (!svg.empty()) {
      drawings.push_back({fmt::format("{}: gap {:.2f} mm, {} {}", words, layout.gap_mm,
                                      layout.count, report.is_plates ? "plates" : "fins"),
                          svg});
    }
  };
  if (const SpacingPoint* tight = nearest_point(report, best, best.layout.gap_mm / shown_apart)) {
    add("tighter", tight->layout);
  }
  add("best", best.layout);
  if (const SpacingPoint* wide = nearest_point(report, best, best.layout.gap_mm * shown_apart)) {
    add("wider", wide->layout);
  }
  write_text(directory / ("gaps_" + id + ".svg"), side_by_side(report.context.title, drawings));
}

} // namespace

void write_spacing(const fs::path& directory, const SpacingReport& report) {
  fs::create_directories(directory);
  write_text(directory / "spacing.csv", spacing_csv(report));
  write_text(directory / "spacing.json", spacing_json(report));
  std::set<std::pair<double, double>> shapes;
  for (const SpacingPoint& point : report.points) {
    shapes.emplace(point.layout.thickness_mm, point.layout.height_mm);
  }
  for (const auto& [thickness, height] : shapes) {
    const std::string more =
        shapes.size() == 1 ? "" : fmt::format("_thickness-{:g}_height-{:g}", thickness, height);
    write_text(directory / ("spacing" + more + ".svg"), spacing_chart(report, thickness, height));
  }
  for (const SpacingBest& best : report.best) {
    if (!best.orientation.empty()) {
      write_pictures(directory, report, best);
    }
  }
}

} // namespace tiltfin

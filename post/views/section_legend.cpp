#include "post/views/section_legend.hpp"

#include "post/views/name_groups.hpp"
#include "post/views/page.hpp"
#include "post/views/section_style.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <vector>

namespace tiltfin {
namespace {

/// "plate-1 to plate-7" for names that count up; else one by one.
std::vector<std::string> collapsed(const std::vector<std::string>& names) {
  std::vector<std::string> result;
  for (const NameGroup& group : grouped_names(names)) {
    result.push_back(group.range());
  }
  return result;
}

/// Lines of the legend: a swatch, a bold head, and the names under it.
class Legend {
public:
  Legend(double left, double top) : left_(left), y_(top) {}

  void add(const std::string& swatch_attributes, const std::string& head,
           const std::vector<std::string>& names) {
    text_ += fmt::format(R"x(<path d="M{:.1f} {:.1f}h20v12h-20z" {}/>)x"
                         "\n",
                         left_, y_ - 10.0, swatch_attributes);
    add_head(head, names);
  }

  void add_line(const std::string& line_attributes, const std::string& head,
                const std::vector<std::string>& names) {
    text_ += page_line({left_, y_ - 4.0}, {left_ + 20.0, y_ - 4.0}, line_attributes);
    add_head(head, names);
  }

  [[nodiscard]] const std::string& text() const { return text_; }
  [[nodiscard]] double bottom() const { return y_; }

private:
  void add_head(const std::string& head, const std::vector<std::string>& names) {
    text_ += svg_text(left_ + 28.0, y_, head, {.size = 13.0, .is_bold = true});
    for (const std::string& own : names) {
      y_ += 17.0;
      text_ += svg_text(left_ + 28.0, y_, own, {.size = 12.0, .colour = soft_ink});
    }
    y_ += 25.0;
  }

  double left_;
  double y_;
  std::string text_;
};

} // namespace

SectionLegend section_legend(const Section& section, double left, double top) {
  Legend legend(left, top);
  for (const RoleStyle& style : role_styles) {
    std::vector<std::string> names;
    for (const Solid& solid : section.solids) {
      if (solid.role == style.role) {
        names.push_back(solid.name);
      }
    }
    if (!names.empty()) {
      legend.add(fmt::format(R"x(fill="{}" stroke="{}" stroke-width="0.7")x", style.fill, ink),
                 name(style.role), collapsed(names));
    }
  }
  const auto names_of = [](const auto& parts) {
    std::vector<std::string> names;
    names.reserve(parts.size());
    for (const auto& part : parts) {
      names.push_back(part.name);
    }
    return collapsed(names);
  };
  if (!section.media.empty()) {
    legend.add(fmt::format(R"x(fill="{}" stroke="{}" stroke-width="0.7")x", medium_fill, ink),
               "fin medium, seen from the fins' faces", names_of(section.media));
  }
  if (!section.grilles.empty()) {
    legend.add_line(grille_line, "grille", names_of(section.grilles));
  }
  if (!section.links.empty()) {
    legend.add_line(link_line, "link, does not block air", names_of(section.links));
  }
  if (!section.openings.empty()) {
    legend.add_line(opening_line, "opening", names_of(section.openings));
  }
  return {legend.text(), legend.bottom()};
}

} // namespace tiltfin

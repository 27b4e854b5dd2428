#include "post/views/section_legend.hpp"

#include "post/views/page.hpp"
#include "post/views/section_style.hpp"
#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <cctype>
#include <vector>

namespace tiltfin {
namespace {

/// A name that may end in a number.
struct CountedName {
  std::string stem;
  long number = -1; ///< -1: no number at the end
};

CountedName counted(const std::string& name) {
  constexpr std::size_t most_digits = 9;
  std::size_t digits = name.size();
  while (digits > 0 && std::isdigit(static_cast<unsigned char>(name[digits - 1])) != 0) {
    --digits;
  }
  if (digits == name.size() || name.size() - digits > most_digits) {
    return {name, -1};
  }
  return {name.substr(0, digits), std::stol(name.substr(digits))};
}

/// "plate-1 to plate-7" for names that count up, even with others between them; else one by one.
std::vector<std::string> collapsed(const std::vector<std::string>& names) {
  std::vector<std::string> result;
  std::vector<char> is_told(names.size(), 0);
  for (std::size_t first = 0; first < names.size(); ++first) {
    if (is_told[first] != 0) {
      continue;
    }
    CountedName next = counted(names[first]);
    std::vector<std::size_t> run{first};
    for (std::size_t k = first + 1; k < names.size() && next.number >= 0; ++k) {
      const CountedName other = counted(names[k]);
      if (is_told[k] == 0 && other.stem == next.stem && other.number == next.number + 1) {
        next.number = other.number;
        run.push_back(k);
      }
    }
    if (run.size() < 3) {
      run.resize(1);
    }
    for (const std::size_t k : run) {
      is_told[k] = 1;
    }
    result.push_back(run.size() == 1 ? names[first] : names[first] + " to " + names[run.back()]);
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

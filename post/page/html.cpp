#include "post/page/html.hpp"

#include "post/views/svg.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cctype>
#include <string_view>
#include <utility>

namespace tiltfin {
namespace {

bool is_plain(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0;
}

/// "12.3 ±0.4", "+4", "-0.2", "-"; not "flat-up".
bool looks_like_number(const std::string& cell) {
  const std::size_t first = cell.find_first_not_of("+-*");
  return first == std::string::npos ? !cell.empty()
                                    : std::isdigit(static_cast<unsigned char>(cell[first])) != 0;
}

std::string row_html(const std::vector<std::string>& cells) {
  std::string text = "<tr>";
  for (std::size_t k = 0; k < cells.size(); ++k) {
    const char* number = looks_like_number(cells[k]) ? R"( class="n")" : "";
    text += k == 0 ? fmt::format(R"(<th scope="row"{}>{}</th>)", number, xml_escaped(cells[k]))
                   : fmt::format("<td{}>{}</td>", number, xml_escaped(cells[k]));
  }
  return text + "</tr>\n";
}

/// Splits a csv text as csv_text writes it: cells with commas, quotes or line breaks are quoted.
std::vector<std::vector<std::string>> csv_rows(const std::string& csv) {
  std::vector<std::vector<std::string>> rows;
  std::vector<std::string> row(1);
  bool is_quoted = false;
  for (std::size_t k = 0; k < csv.size(); ++k) {
    const char c = csv[k];
    if (c == '"' && is_quoted && k + 1 < csv.size() && csv[k + 1] == '"') {
      row.back() += csv[++k];
    } else if (c == '"') {
      is_quoted = !is_quoted;
    } else if (c == ',' && !is_quoted) {
      row.emplace_back();
    } else if (c == '\n' && !is_quoted) {
      rows.push_back(std::move(row));
      row.assign(1, "");
    } else if (c != '\r') {
      row.back() += c;
    }
  }
  if (row.size() > 1 || !row.front().empty()) {
    rows.push_back(std::move(row));
  }
  return rows;
}

} // namespace

std::string lines_escaped(const std::string& text) {
  std::string escaped;
  std::string run;
  for (const char c : text) {
    if (c == '\n' || c == '\t') {
      escaped += xml_escaped(run) + c;
      run.clear();
    } else {
      run += c;
    }
  }
  return escaped + xml_escaped(run);
}

std::string element_name(const std::string& text) {
  std::string name = text;
  std::ranges::replace_if(
      name, [](char c) { return !is_plain(c); }, '-');
  return name;
}

std::string svg_address(const std::string& svg) {
  constexpr std::string_view kept = "-_.!~*()/:=;, ?@+$[]|^";
  std::string address = "data:image/svg+xml,";
  address.reserve(svg.size() + svg.size() / 8);
  for (const char c : svg) {
    if (is_plain(c) || kept.find(c) != std::string_view::npos) {
      address += c;
    } else {
      address += fmt::format("%{:02X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    }
  }
  return address;
}

std::string json_for_script(const Json& json) {
  std::string safe;
  for (const char c : json_text(json)) {
    switch (c) {
    case '<':
      safe += "\\u003c";
      break;
    case '>':
      safe += "\\u003e";
      break;
    case '&':
      safe += "\\u0026";
      break;
    default:
      safe += c;
    }
  }
  return safe;
}

std::string paragraph(const std::string& text, const std::string& css_class) {
  if (text.empty()) {
    return "";
  }
  const std::string attribute = css_class.empty() ? "" : fmt::format(R"( class="{}")", css_class);
  return fmt::format("<p{}>{}</p>\n", attribute, xml_escaped(text));
}

std::string bullet_list(const std::vector<std::string>& texts) {
  std::string items;
  for (const std::string& text : texts) {
    items += fmt::format("<li>{}</li>\n", xml_escaped(text));
  }
  return items.empty() ? "" : "<ul>\n" + items + "</ul>\n";
}

std::string table_html(const PageTable& table) {
  std::string text =
      fmt::format(R"(<div class="sheet"{} tabindex="0" role="group" aria-label="{}"><table>)"
                  "<caption>{}</caption>\n<thead><tr>",
                  table.has_filter ? " data-filter" : "", xml_escaped(table.caption),
                  xml_escaped(table.caption));
  for (const std::string& cell : table.head) {
    text += fmt::format(R"(<th scope="col">{}</th>)", xml_escaped(cell));
  }
  text += "</tr></thead>\n<tbody>\n";
  for (const std::vector<std::string>& row : table.rows) {
    text += row_html(row);
  }
  return text + "</tbody></table></div>\n";
}

std::string opening(const std::string& summary, const std::string& html, bool is_open) {
  return fmt::format("<details{}><summary>{}</summary>\n{}</details>\n", is_open ? " open" : "",
                     xml_escaped(summary), html);
}

std::string tabs_html(const std::string& group, const std::string& legend,
                      const std::vector<PageTab>& tabs, std::size_t shown) {
  if (tabs.size() < 2) {
    return tabs.empty() ? "" : tabs.front().html;
  }
  // The panel behind the checked button is shown (post/page/report.css).
  std::string text;
  for (std::size_t k = 0; k < tabs.size(); ++k) {
    text += fmt::format(R"(<input type="radio" name="{0}" id="{0}-{1}"{2}>)"
                        R"(<label for="{0}-{1}">{3}</label>)"
                        "\n"
                        R"(<div class="panel">{4}</div>)"
                        "\n",
                        group, k, k == shown ? " checked" : "", xml_escaped(tabs[k].name),
                        tabs[k].html);
  }
  return fmt::format("<fieldset><legend>{}</legend><div class=\"tabs\">\n{}</div></fieldset>\n",
                     xml_escaped(legend), text);
}

std::vector<std::string> unwrapped_items(const std::string& text) {
  std::vector<std::string> items;
  std::size_t begin = 0;
  while (begin < text.size()) {
    const std::size_t end = std::min(text.find('\n', begin), text.size());
    const std::string line = text.substr(begin, end - begin);
    begin = end + 1;
    const std::size_t indent = line.find_first_not_of(' ');
    if (indent == std::string::npos || indent == 0) {
      continue;
    }
    if (indent == 2 || items.empty()) {
      items.push_back(line.substr(indent));
    } else {
      items.back() += " " + line.substr(indent);
    }
  }
  return items;
}

PageTable table_of_csv(const std::string& csv) {
  PageTable table;
  table.rows = csv_rows(csv);
  if (!table.rows.empty()) {
    table.head = std::move(table.rows.front());
    table.rows.erase(table.rows.begin());
  }
  return table;
}

} // namespace tiltfin

// SPDX-License-Identifier: GPL-3.0-or-later
#include "app/print/PdfBytes.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <optional>

#include <QByteArray>
#include <QGuiApplication>
#include <QString>

namespace inkpeg {

namespace {

/// The whole number after `key`, looked for from the end of `text`.
std::optional<long> lastNumberAfter(const std::string& text, const std::string& key)
{
    const std::size_t at = text.rfind(key);
    if (at == std::string::npos)
        return {};
    return std::strtol(text.c_str() + at + key.size(), nullptr, 10);
}

/// The bytes between "N 0 obj" and "endobj".
std::optional<std::string> objectOf(const std::string& pdf, long number)
{
    const std::string head = "\n" + std::to_string(number) + " 0 obj";
    const std::size_t at = pdf.find(head);
    const std::size_t end = at == std::string::npos ? at : pdf.find("endobj", at);
    if (end == std::string::npos)
        return {};
    return pdf.substr(at + head.size(), end - at - head.size());
}

/// Object numbers of the pages, in order.
std::vector<long> pagesOf(const std::string& pdf, const std::string& catalog)
{
    const std::optional<long> tree = lastNumberAfter(catalog, "/Pages");
    const std::optional<std::string> node = tree ? objectOf(pdf, *tree) : std::nullopt;
    if (!node)
        return {};
    const std::size_t open = node->find('[', node->find("/Kids")), close = node->find(']', open);
    std::vector<long> pages;
    for (const char* at = node->c_str() + open + 1;
         open != std::string::npos && at < node->c_str() + close;) {
        char* after = nullptr;
        const long number = std::strtol(at, &after, 10);
        if (after == at)
            break;
        pages.push_back(number);
        at = node->c_str() + node->find('R', static_cast<std::size_t>(after - node->c_str())) + 1;
    }
    return pages;
}

/// A text string in UTF-16 with its byte-order mark, in hexadecimal.
std::string pdfText(const std::string& utf8)
{
    std::string hex = "<FEFF";
    for (const QChar unit : QString::fromStdString(utf8)) {
        char digits[5];
        std::snprintf(digits, sizeof digits, "%04X", static_cast<unsigned>(unit.unicode()));
        hex += digits;
    }
    return hex + ">";
}

struct Node {
    int parent = -1;
    std::vector<int> children;
};

/// Nodes in the order of the bookmarks; parent -1 is the root.
std::vector<Node> treeOf(const std::vector<Bookmark>& bookmarks, std::vector<int>& tops)
{
    std::vector<Node> nodes(bookmarks.size());
    std::vector<int> open;
    for (int i = 0; i < static_cast<int>(bookmarks.size()); ++i) {
        const auto level =
            static_cast<std::size_t>(std::max(0, bookmarks[static_cast<std::size_t>(i)].level));
        if (open.size() > level)
            open.resize(level);
        auto& self = nodes[static_cast<std::size_t>(i)];
        self.parent = open.empty() ? -1 : open.back();
        (open.empty() ? tops : nodes[static_cast<std::size_t>(open.back())].children).push_back(i);
        open.push_back(i);
    }
    return nodes;
}

} // namespace

void ensureFonts()
{
    if (QCoreApplication::instance() != nullptr)
        return;
    qputenv("QT_QPA_PLATFORM", "offscreen");
    static int count = 1;
    static char name[] = "inkpeg";
    static char* arguments[] = {name, nullptr};
    static QGuiApplication application(count, arguments);
}

void setPdfDate(QByteArray& pdf, const std::string& at)
{
    // "2026-07-01T12:00:00.000Z" -> "20260701120000"
    QByteArray digits;
    for (const char c : at.substr(0, 19))
        if (c >= '0' && c <= '9')
            digits.append(c);
    const QByteArray key = "/CreationDate (D:";
    for (qsizetype from = pdf.indexOf(key); from >= 0; from = pdf.indexOf(key, from + 1)) {
        const qsizetype start = from + key.size(), end = pdf.indexOf(')', start);
        QByteArray date = digits + "Z";
        if (end - start >= date.size()) // same length, or the table of offsets would be wrong
            pdf.replace(start, end - start, date.leftJustified(end - start, ' '));
    }
}

std::string withBookmarks(const std::string& pdf, const std::vector<Bookmark>& bookmarks)
{
    const std::optional<long> root = lastNumberAfter(pdf, "/Root"), size = lastNumberAfter(pdf, "/Size"),
                              xref = lastNumberAfter(pdf, "startxref"),
                              info = lastNumberAfter(pdf, "/Info");
    const std::optional<std::string> catalog = root ? objectOf(pdf, *root) : std::nullopt;
    if (bookmarks.empty() || !catalog || !size || !xref || catalog->find("/Outlines") != std::string::npos)
        return pdf;
    const std::vector<long> pages = pagesOf(pdf, *catalog);
    const std::size_t end = catalog->rfind(">>");
    if (pages.empty() || end == std::string::npos)
        return pdf;
    std::vector<int> tops;
    const std::vector<Node> nodes = treeOf(bookmarks, tops);
    const auto numberOf = [&](int node) { return node < 0 ? *size : *size + 1 + node; };
    const auto reference = [&](const char* key, int node) {
        return std::string(" ") + key + " " + std::to_string(numberOf(node)) + " 0 R";
    };
    const auto firstAndLast = [&](const std::vector<int>& children) {
        return children.empty()
                   ? std::string()
                   : reference("/First", children.front()) + reference("/Last", children.back()) +
                         " /Count " + std::to_string(children.size());
    };
    std::string bytes = pdf + (pdf.back() == '\n' ? "" : "\n");
    std::vector<std::pair<long, std::size_t>> offsets;
    const auto add = [&](long number, const std::string& content) {
        offsets.emplace_back(number, bytes.size());
        bytes += std::to_string(number) + " 0 obj\n" + content + "\nendobj\n";
    };
    add(*root, catalog->substr(0, end) + reference("/Outlines", -1) + " /PageMode /UseOutlines\n>>");
    // An outer entry counts all that is open below it (12.3.3): everything stands open.
    add(*size, "<< /Type /Outlines" + reference("/First", tops.front()) + reference("/Last", tops.back()) +
                   " /Count " + std::to_string(bookmarks.size()) + " >>");
    for (int i = 0; i < static_cast<int>(nodes.size()); ++i) {
        const Node& node = nodes[static_cast<std::size_t>(i)];
        const Bookmark& mark = bookmarks[static_cast<std::size_t>(i)];
        const std::vector<int>& row =
            node.parent < 0 ? tops : nodes[static_cast<std::size_t>(node.parent)].children;
        const auto place = std::find(row.begin(), row.end(), i);
        std::string content = "<< /Title " + pdfText(mark.title) + reference("/Parent", node.parent);
        content += place != row.begin() ? reference("/Prev", *(place - 1)) : "";
        content += place + 1 != row.end() ? reference("/Next", *(place + 1)) : "";
        const auto page = static_cast<std::size_t>(std::max(0, mark.page));
        content += firstAndLast(node.children) + " /Dest [" +
                   std::to_string(pages[std::min(page, pages.size() - 1)]) + " 0 R /Fit] >>";
        add(numberOf(i), content);
    }
    const std::size_t table = bytes.size();
    bytes += "xref\n";
    for (const auto& [number, offset] : offsets) {
        char line[64];
        std::snprintf(line, sizeof line, "%ld 1\n%010zu 00000 n \n", number, offset);
        bytes += line;
    }
    bytes += "trailer\n<< /Size " + std::to_string(*size + 1 + static_cast<long>(nodes.size())) +
             " /Root " + std::to_string(*root) + " 0 R" +
             (info ? " /Info " + std::to_string(*info) + " 0 R" : "") + " /Prev " + std::to_string(*xref) +
             " >>\nstartxref\n" + std::to_string(table) + "\n%%EOF\n";
    return bytes;
}

} // namespace inkpeg

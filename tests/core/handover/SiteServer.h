// SPDX-License-Identifier: GPL-3.0-or-later
// A real PostgreSQL with PostGIS for a test: its own data folder, a free port on 127.0.0.1, gone with the
// object. The server refuses to run as root; a test that is root runs it as the account of Debian's package.
#pragma once

#include <QFile>
#include <QProcess>
#include <QString>
#include <QTemporaryDir>

#include <arpa/inet.h>
#include <netinet/in.h>
#include <sys/socket.h>
#include <unistd.h>

namespace inkpeg {

class SiteServer {
public:
    static constexpr const char* Password = "Kiln'&\"mash 1349";

    /// Empty when it runs, else what went wrong.
    QString start()
    {
        m_data = as({"mktemp", "-d", "/tmp/inkpeg-postgres-XXXXXX"}).trimmed();
        if (m_data.isEmpty())
            return "no data folder: " + m_said;
        writeFile(m_mine.filePath("password"), Password, true);
        m_port = freePort();
        // The server's account cannot read our folder: the password goes in through standard input.
        as({"sh", "-c",
            QString("cat > %1/password && %2/initdb -D %1/data -U keeper --auth=scram-sha-256 "
                    "--pwfile=%1/password -E UTF8 --locale=C.UTF-8 && rm %1/password")
                .arg(m_data, Bin)},
           Password);
        as({QString(Bin) + "/pg_ctl", "-D", m_data + "/data", "-w", "-t", "60", "-l", m_data + "/log", "-o",
            QString("-c listen_addresses=127.0.0.1 -c port=%1 -c unix_socket_directories=%2 -c fsync=off")
                .arg(m_port)
                .arg(m_data),
            "start"});
        writeFile(m_mine.filePath("services"),
                  QString("[site]\nhost=127.0.0.1\nport=%1\ndbname=postgres\nuser=keeper\n").arg(m_port));
        writeFile(m_mine.filePath("passwords"),
                  QString("127.0.0.1:%1:*:keeper:%2\n").arg(m_port).arg(Password), true);
        writeFile(m_mine.filePath("no-passwords"), "", true);
        qputenv("PGSERVICEFILE", m_mine.filePath("services").toUtf8());
        usePasswordFile(true);
        const QString version = sql("SELECT 1");
        return version == "1" ? QString() : "the server does not answer: " + version + m_said;
    }

    ~SiteServer()
    {
        if (m_data.isEmpty())
            return;
        as({QString(Bin) + "/pg_ctl", "-D", m_data + "/data", "-m", "immediate", "-w", "stop"});
        as({"rm", "-rf", m_data});
    }

    void usePasswordFile(bool use) const
    {
        qputenv("PGPASSFILE", m_mine.filePath(use ? "passwords" : "no-passwords").toUtf8());
    }

    /// psql, the server's own client, is the independent reader.
    QString sql(const QString& statement) const
    {
        QProcess psql;
        psql.start("psql",
                   {"service=site", "-X", "-A", "-t", "-q", "-v", "ON_ERROR_STOP=1", "-c", statement});
        psql.waitForFinished(60'000);
        return psql.exitCode() == 0 ? QString::fromUtf8(psql.readAllStandardOutput()).trimmed()
                                    : "failed: " + QString::fromUtf8(psql.readAllStandardError());
    }

    QString file(const char* name) const { return m_mine.filePath(name); }
    QString log() const { return as({"cat", m_data + "/log"}); }

private:
    static constexpr const char* Bin = "/usr/lib/postgresql/15/bin";

    static void writeFile(const QString& name, const QString& text, bool secret = false)
    {
        QFile file(name);
        if (file.open(QIODevice::WriteOnly))
            file.write(text.toUtf8());
        file.close();
        file.setPermissions(secret ? QFile::ReadOwner | QFile::WriteOwner
                                   : QFile::ReadOwner | QFile::WriteOwner | QFile::ReadGroup |
                                         QFile::ReadOther);
    }

    static int freePort()
    {
        const int handle = ::socket(AF_INET, SOCK_STREAM, 0);
        sockaddr_in address{};
        address.sin_family = AF_INET;
        address.sin_addr.s_addr = htonl(INADDR_LOOPBACK);
        socklen_t size = sizeof address;
        ::bind(handle, reinterpret_cast<sockaddr*>(&address), size);
        ::getsockname(handle, reinterpret_cast<sockaddr*>(&address), &size);
        ::close(handle);
        return ntohs(address.sin_port);
    }

    /// Runs as the server's account and gives what it wrote.
    QString as(QStringList command, const QString& input = {}) const
    {
        if (::geteuid() == 0)
            command = QStringList{"runuser", "-u", "postgres", "--"} + command;
        QProcess process;
        process.setWorkingDirectory("/tmp");
        // pg_ctl leaves the server behind with our pipes: they go nowhere, or we would wait for their end.
        if (command.contains("start"))
            process.setStandardOutputFile(QProcess::nullDevice());
        if (command.contains("start"))
            process.setStandardErrorFile(QProcess::nullDevice());
        process.start(command.takeFirst(), command);
        process.write(input.toUtf8());
        process.closeWriteChannel();
        process.waitForFinished(120'000);
        m_said = QString::fromUtf8(process.readAllStandardError());
        return process.exitCode() == 0 ? QString::fromUtf8(process.readAllStandardOutput()) : QString();
    }

    QTemporaryDir m_mine;
    QString m_data;
    mutable QString m_said;
    int m_port = 0;
};

} // namespace inkpeg

# The program, the libraries with their headers, data and docs, and a package for find_package(polepitch).
include(CMakePackageConfigHelpers)
set(package_dir ${CMAKE_INSTALL_LIBDIR}/cmake/polepitch)

install(TARGETS polepitch geometry solver post cases EXPORT polepitchTargets)
install(DIRECTORY geometry solver post cases DESTINATION ${CMAKE_INSTALL_INCLUDEDIR}/polepitch
        FILES_MATCHING PATTERN "*.h" PATTERN machines EXCLUDE PATTERN materials EXCLUDE)
install(DIRECTORY cases/machines cases/materials DESTINATION ${CMAKE_INSTALL_DATADIR}/polepitch)
install(DIRECTORY docs/ DESTINATION ${CMAKE_INSTALL_DOCDIR})
install(FILES README.md LICENSE DESTINATION ${CMAKE_INSTALL_DOCDIR})

install(EXPORT polepitchTargets NAMESPACE polepitch:: DESTINATION ${package_dir})
configure_package_config_file(cmake/polepitchConfig.cmake.in polepitchConfig.cmake
                              INSTALL_DESTINATION ${package_dir} PATH_VARS CMAKE_INSTALL_DATADIR)
write_basic_package_version_file(polepitchConfigVersion.cmake COMPATIBILITY SameMinorVersion)
install(FILES ${CMAKE_CURRENT_BINARY_DIR}/polepitchConfig.cmake
              ${CMAKE_CURRENT_BINARY_DIR}/polepitchConfigVersion.cmake cmake/dependencies.cmake
        DESTINATION ${package_dir})

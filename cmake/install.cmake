# `cmake --install build/release`: the command, its plugin, data, man page and completions.
include(GNUInstallDirs)
if(TARGET etchback)
    install(TARGETS etchback RUNTIME DESTINATION ${CMAKE_INSTALL_BINDIR})
endif()
if(TARGET etchback_paper)
    install(TARGETS etchback_paper LIBRARY DESTINATION ${CMAKE_INSTALL_LIBDIR}/etchback)
endif()
install(DIRECTORY data/ DESTINATION ${CMAKE_INSTALL_DATADIR}/etchback/data)
